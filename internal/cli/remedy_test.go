package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// faultyBarn writes a demo job with two faults below a new folder.
func faultyBarn(t *testing.T) (path, text string) {
	t.Helper()
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS("../../testdata/jobs")); err != nil {
		t.Fatal(err)
	}
	path = filepath.Join(folder, "barn.toml")
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text = string(whole)
	for _, x := range [][2]string{{`rating = "60 A", voltage = "250 V"`, `rating = "50 A", voltage = "250 V"`}, {`stand_off     = "4 in"`, `stand_off     = "1 in"`}} {
		if strings.Count(text, x[0]) != 1 {
			t.Fatalf("%s stands %d times in the barn", x[0], strings.Count(text, x[0]))
		}
		text = strings.Replace(text, x[0], x[1], 1)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return path, text
}

// A remedy is previewed, and written on request: the span of the value and nothing
// else of the file.
func TestRemedy(t *testing.T) {
	path, text := faultyBarn(t)
	included := filepath.Join(filepath.Dir(path), "whole.toml")
	if err := os.WriteFile(included, []byte("include = [\"barn.toml\"]\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	ran := func(code int, args ...string) string {
		t.Helper()
		var out, errs bytes.Buffer
		if got := Main(append([]string{"remedy"}, args...), strings.NewReader(""), &out, &errs); got != code {
			t.Errorf("remedy %s: exit code %d, want %d: %s%s", args, got, code, out.String(), errs.String())
		}
		return out.String() + strings.Join(strings.Fields(errs.String()), " ")
	}
	says := func(got string, want ...string) {
		t.Helper()
		for _, w := range want {
			if !strings.Contains(got, w) {
				t.Errorf("%q is not said in\n%s", w, got)
			}
		}
	}
	stands := func(want string) {
		t.Helper()
		now, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if string(now) != want {
			t.Errorf("the file has other lines than expected:\n%s", now)
		}
	}
	says(ran(0, path), "1 electrical/overcurrent-large-enough correction\n", "    Use 60 A, with conductors to match.\n",
		"    Tried: overcurrent.F4.rating: 50 A -> 60 A: passes, nothing worse\n      utilisation 1.19 -> 0.99\n",
		"Tried: array.west.stand_off: 1 in -> 2 in: passes, nothing worse\n")
	asked := ran(0, path, "1", "--format", "json")
	says(asked, `"key": "overcurrent.F4.rating"`, `"old": "50 A"`, `"new": "60 A"`, `"passes": true`, `"tried": 1`)
	if strings.Contains(asked, "stand_off") {
		t.Errorf("of one comment more is told:\n%s", asked)
	}
	stands(text)
	says(ran(2, included, "1", "--apply"), "overcurrent.F4.rating stands in", "a file that the job includes")
	says(ran(2, path, "2", "--apply"), "several values may change; choose one with --key: array.west.stand_off, array.east.stand_off")
	says(ran(2, path, "2", "--apply", "--key", "array.east.stand_off"), "array.east.stand_off is not written out under its own key: it comes from a pattern")
	says(ran(2, path, "2", "--key", "array.north.stand_off"), "array.north.stand_off is none of what may change")
	says(ran(2, path, "9"), "there is no comment 9; the review has 2")
	says(ran(2, path, "--apply"), "--apply needs the number of a comment")
	says(ran(2, path, "--format", "xml"), "text or json is expected")
	stands(text)

	says(ran(0, path, "1", "--apply"), "50 A -> 60 A")
	text = strings.Replace(text, `rating = "50 A", voltage = "250 V"`, `rating = "60 A", voltage = "250 V"`, 1)
	stands(text)
	says(ran(0, path, "1", "--apply", "--key", "array.west.stand_off"), "1 in -> 2 in")
	stands(strings.Replace(text, `stand_off     = "1 in"`, `stand_off     = "2 in"`, 1))
	if got := ran(0, path); got != "Nothing is outstanding.\n" {
		t.Errorf("after all were written: %s", got)
	}
}
