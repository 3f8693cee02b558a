package watch

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// write puts text into a file, and makes its folder.
func write(t *testing.T, path, text string) {
	t.Helper()
	if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, []byte(text), 0o644)); err != nil {
		t.Fatal(err)
	}
}

// waiting is a watcher in the middle of a Wait.
type waiting struct {
	t    *testing.T
	done chan error
	stop context.CancelFunc
}

func wait(t *testing.T, seen *Seen) *waiting {
	t.Helper()
	w, err := New()
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- w.Wait(ctx, seen) }()
	t.Cleanup(func() {
		stop()
		if err := w.Close(); err != nil {
			t.Error(err)
		}
	})
	time.Sleep(2 * quiet) // so that it has begun
	return &waiting{t, done, stop}
}

func (w *waiting) ends() {
	w.t.Helper()
	select {
	case err := <-w.done:
		if err != nil {
			w.t.Error(err)
		}
	case <-time.After(patrol + longest):
		w.t.Error("no change was seen")
	}
}

func (w *waiting) goesOn() {
	w.t.Helper()
	select {
	case err := <-w.done:
		w.t.Errorf("a change was seen where there is none: %v", err)
	case <-time.After(4 * quiet):
	}
}

// However a file is saved, it is seen, and what leaves it as it was is not.
func TestWait(t *testing.T) {
	for name, c := range map[string]struct {
		do   func(t *testing.T, dir string)
		same bool
	}{
		"saved in place": {do: func(t *testing.T, dir string) { write(t, dir+"/job/a.toml", "two") }},
		"saved by renaming": {do: func(t *testing.T, dir string) {
			write(t, dir+"/job/.a.toml.tmp", "two")
			must(t, os.Rename(dir+"/job/.a.toml.tmp", dir+"/job/a.toml"))
		}},
		"put aside and written": {do: func(t *testing.T, dir string) {
			must(t, os.Rename(dir+"/job/a.toml", dir+"/job/a.toml~"))
			write(t, dir+"/job/a.toml", "two")
		}},
		"removed":                    {do: func(t *testing.T, dir string) { must(t, os.Remove(dir+"/job/a.toml")) }},
		"its folder removed":         {do: func(t *testing.T, dir string) { must(t, os.RemoveAll(dir+"/job")) }},
		"one that was not there":     {do: func(t *testing.T, dir string) { write(t, dir+"/far/away/b.toml", "now") }},
		"where a link leads":         {do: func(t *testing.T, dir string) { write(t, dir+"/real/c.toml", "two") }},
		"a name comes into a folder": {do: func(t *testing.T, dir string) { write(t, dir+"/rules/fire/new.toml", "") }},
		"a folder comes":             {do: func(t *testing.T, dir string) { must(t, os.Mkdir(dir+"/rules/roof", 0o755)) }},

		"another file":           {same: true, do: func(t *testing.T, dir string) { write(t, dir+"/job/roof.svg", "drawn") }},
		"another name of no use": {same: true, do: func(t *testing.T, dir string) { write(t, dir+"/rules/fire/notes.txt", "") }},
		"saved as it was":        {same: true, do: func(t *testing.T, dir string) { write(t, dir+"/job/a.toml", "one") }},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			write(t, dir+"/job/a.toml", "one")
			write(t, dir+"/real/c.toml", "one")
			write(t, dir+"/rules/fire/old.toml", "")
			if err := os.Symlink(dir+"/real/c.toml", dir+"/job/c.toml"); err != nil {
				t.Skip("no links here:", err)
			}
			seen := NewSeen(os.ReadFile)
			for _, path := range []string{"/job/a.toml", "/job/c.toml", "/far/away/b.toml"} {
				if _, err := seen.Read(dir + path); err != nil && path != "/far/away/b.toml" {
					t.Fatal(err)
				}
			}
			seen.Folder(dir+"/rules", ".toml")
			seen.Folder(dir+"/rules/fire", ".toml")
			if n := seen.Files(); n != 2 {
				t.Errorf("%d files were read, expected 2", n)
			}
			w := wait(t, seen)
			c.do(t, dir)
			if c.same {
				w.goesOn()
			} else {
				w.ends()
			}
		})
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// What was saved between the reading and the waiting is not lost.
func TestWaitSeesWhatCameBefore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.toml")
	write(t, path, "one")
	seen := NewSeen(os.ReadFile)
	if _, err := seen.Read(path); err != nil {
		t.Fatal(err)
	}
	write(t, path, "two")
	wait(t, seen).ends()
}

// A burst is one change: the wait lasts until it is over.
func TestWaitForTheEndOfABurst(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.toml")
	write(t, path, "one")
	seen := NewSeen(os.ReadFile)
	if _, err := seen.Read(path); err != nil {
		t.Fatal(err)
	}
	w := wait(t, seen)
	for range 8 {
		write(t, path, "half")
		time.Sleep(quiet / 2)
		select {
		case <-w.done:
			t.Fatal("it did not wait for the end")
		default:
		}
	}
	w.ends()
}

func TestWaitIsInterrupted(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.toml")
	write(t, path, "one")
	seen := NewSeen(os.ReadFile)
	if _, err := seen.Read(path); err != nil {
		t.Fatal(err)
	}
	w := wait(t, seen)
	w.stop()
	select {
	case err := <-w.done:
		if !errors.Is(err, context.Canceled) {
			t.Errorf("ended with %v", err)
		}
	case <-time.After(longest):
		t.Error("it went on")
	}
}
