// Package watch tells when files that were read are saved anew, however an
// editor saves them: in place, or as another file that takes the name.
package watch

import (
	"context"
	"crypto/sha256"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/fsnotify/fsnotify"
)

const (
	// quiet is how long nothing may happen in a folder before files are looked
	// at: one save is several events.
	quiet = 100 * time.Millisecond
	// longest is how long a burst of events is waited for.
	longest = 2 * time.Second
	// patrol is how often files are looked at where no event says so: folders
	// on a network send none.
	patrol = 2 * time.Second
)

// mark tells contents apart; the zero mark is for what cannot be read.
type mark [sha256.Size]byte

// Seen is what was read: the content of files, and the names in folders. It is
// not safe for use by several goroutines.
type Seen struct {
	read  func(path string) ([]byte, error)
	lock  sync.Mutex
	looks map[string]look
}

// look is how a path was found.
type look struct {
	mark   mark
	ending string // of the names that count in a folder; "" for a file
}

// NewSeen begins with nothing seen. Files are read, and looked at again, through
// read.
func NewSeen(read func(path string) ([]byte, error)) *Seen {
	return &Seen{read: read, looks: map[string]look{}}
}

// Read reads a file and notes how it was found, one that cannot be read too.
func (s *Seen) Read(path string) ([]byte, error) {
	text, err := s.read(path)
	s.note(path, look{mark: markFile(text, err)})
	return text, err
}

// Folder notes which folders, and which files with an ending, stand in a folder.
func (s *Seen) Folder(path, ending string) {
	s.note(path, look{markFolder(path, ending), ending})
}

// note keeps a look; jobs are read side by side.
func (s *Seen) note(path string, l look) {
	s.lock.Lock()
	defer s.lock.Unlock()
	s.looks[path] = l
}

// Files counts the files that were read, without what is read of a folder, whose
// path ends in a slash.
func (s *Seen) Files() int {
	n := 0
	for path, l := range s.looks {
		if l.ending == "" && !strings.HasSuffix(path, "/") && l.mark != (mark{}) {
			n++
		}
	}
	return n
}

// stale tells whether anything is other than it was seen.
func (s *Seen) stale() bool {
	for path, was := range s.looks {
		var now mark
		if was.ending == "" {
			now = markFile(s.read(path))
		} else {
			now = markFolder(path, was.ending)
		}
		if now != was.mark {
			return true
		}
	}
	return false
}

func markFile(text []byte, err error) mark {
	if err != nil {
		return mark{}
	}
	return sha256.Sum256(text)
}

func markFolder(path, ending string) mark {
	entries, err := os.ReadDir(path)
	if err != nil {
		return mark{}
	}
	var names strings.Builder
	for _, e := range entries {
		if e.IsDir() || strings.HasSuffix(e.Name(), ending) {
			names.WriteString(e.Name() + "\x00")
		}
	}
	return sha256.Sum256([]byte(names.String()))
}

// Watcher waits for files to be saved. Close ends it.
type Watcher struct{ events *fsnotify.Watcher }

// New makes a watcher. The error is that of a system that gives no notice of
// files.
func New() (*Watcher, error) {
	events, err := fsnotify.NewWatcher()
	if err != nil {
		return nil, err
	}
	return &Watcher{events}, nil
}

// Close lets go of the folders.
func (w *Watcher) Close() error { return w.events.Close() }

// Wait returns once something is other than it was seen and no more is being
// saved, at once where that is so already. The error is that of the context.
func (w *Watcher) Wait(ctx context.Context, seen *Seen) error {
	tick := time.NewTicker(patrol)
	defer tick.Stop()
	for {
		w.follow(seen)
		if seen.stale() {
			return w.settle(ctx)
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-tick.C:
		case <-w.events.Errors: // events were lost: look
		case <-w.events.Events:
			if err := w.settle(ctx); err != nil {
				return err
			}
		}
	}
}

// settle waits until nothing has happened for a while.
func (w *Watcher) settle(ctx context.Context) error {
	end := time.NewTimer(longest)
	defer end.Stop()
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-end.C:
			return nil
		case <-time.After(quiet):
			return nil
		case <-w.events.Errors:
		case <-w.events.Events:
		}
	}
}

// follow asks for notice of what happens in the folders of what was seen. The
// folder is watched and not the file, which another may take the place of. A
// folder that cannot be watched is left to the patrol.
func (w *Watcher) follow(seen *Seen) {
	wanted := map[string]bool{}
	for path, l := range seen.looks {
		if l.ending != "" {
			wanted[nearest(path)] = true
		}
		wanted[nearest(filepath.Dir(path))] = true
		if real, err := filepath.EvalSymlinks(path); err == nil { // a link may lead to another folder
			wanted[filepath.Dir(real)] = true
		}
	}
	for _, old := range w.events.WatchList() {
		if !wanted[old] {
			_ = w.events.Remove(old) // it may be gone by itself
		}
	}
	for folder := range wanted {
		_ = w.events.Add(folder)
	}
}

// nearest is a folder, or what there is of the way to it.
func nearest(folder string) string {
	for {
		info, err := os.Stat(folder)
		if up := filepath.Dir(folder); err == nil && info.IsDir() || up == folder {
			return folder
		}
		folder = filepath.Dir(folder)
	}
}
