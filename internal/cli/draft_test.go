package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
)

// These bound the work from a draft to a job with nothing outstanding: how often
// it is checked, the lines that are typed in it, and these with the answers that
// the draft is made from. What a firm and a town say of all their jobs was written
// once before.
const mostRuns, mostTyped, mostSaid = 4, 47, 97

// pairs reads a file of lines "key = value".
func pairs(t *testing.T, name string) (list [][2]string) {
	t.Helper()
	for _, line := range strings.Split(read(t, name), "\n") {
		if key, value, ok := strings.Cut(line, " = "); ok && !strings.HasPrefix(line, "#") {
			list = append(list, [2]string{key, value})
		}
	}
	return list
}

// fillIn puts a value into a draft as a person does: it takes the # off the open
// key, or adds a line to the table, or a table. It gives the lines typed.
func fillIn(t *testing.T, text, key, value string) (filled string, typed int) {
	t.Helper()
	parts, ok := job.SplitKey(key)
	if !ok {
		t.Fatalf("%s is no key", key)
	}
	table, name, last := parts[0], "", parts[len(parts)-1]
	if f, _ := job.Model().Field(table); f.Kind == job.KindTables {
		name = parts[1]
		parts = parts[1:]
	}
	inner := strings.Join(append([]string{table}, parts[1:len(parts)-1]...), ".")
	lines := strings.Split(text, "\n")
	entry, at := "", -1
	for i, line := range lines {
		switch {
		case strings.HasPrefix(line, "[["+table+"]]"), strings.HasPrefix(line, "["+table+"]"):
			entry, at = "", -1
			for j := i + 1; j < len(lines) && !strings.HasPrefix(lines[j], "["); j++ {
				if key, value, ok := strings.Cut(lines[j], "="); ok && strings.TrimSpace(key) == "name" {
					entry = strings.Trim(strings.TrimSpace(value), `"`)
				}
			}
			if entry == name && inner == table {
				at = i
			}
		case strings.HasPrefix(line, "["+inner+"]") && entry == name:
			at = i
		case strings.HasPrefix(line, "["):
			at = -1
		case at >= 0 && strings.HasPrefix(line, "#"+last+" ="):
			lines[i] = last + " = " + value
			return strings.Join(lines, "\n"), 1
		}
		if at == i && !slices.ContainsFunc(lines[i:], func(l string) bool { return strings.HasPrefix(l, "#"+last+" =") }) {
			return strings.Join(slices.Insert(lines, i+1, last+" = "+value), "\n"), 1
		}
	}
	if name != "" {
		t.Fatalf("%s has no place in the draft", key)
	}
	return text + "\n[" + inner + "]\n" + last + " = " + value + "\n", 2
}

// newUser plays a person who drafts a job from answers, fills in what its reviews
// ask for from nameplates and papers, and wants nothing outstanding.
func newUser(t *testing.T, name string) {
	answers := pairs(t, "../../testdata/drafts/"+name+".answers")
	nameplates := map[string]string{}
	for _, line := range pairs(t, "../../testdata/drafts/"+name+".nameplates") {
		nameplates[line[0]] = line[1]
	}
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS("../../testdata/drafts")); err != nil {
		t.Fatal(err)
	}
	t.Chdir(folder)
	args := []string{"draft", "--practice", "firm.practice", "--practice", "quillbeck.practice", "--output", "job.toml"}
	for _, said := range answers {
		args = append(args, "--"+said[0], said[1])
	}
	run(t, args...).exits(exitClear).complainsNothing()
	text, typed, runs := read(t, "job.toml"), 0, 0
	used := map[string]bool{}
	for {
		runs++
		r := run(t, "check", "--format", "json", "job.toml")
		if r.code == exitClear {
			break
		}
		r.exits(exitOutstanding)
		var asked struct {
			Missing []struct{ Keys []struct{ Key string } }
		}
		if err := json.Unmarshal([]byte(r.stdout), &asked); err != nil {
			t.Fatal(err)
		}
		before := typed
		for _, m := range asked.Missing {
			for _, k := range m.Keys {
				if value, has := nameplates[k.Key]; has && !used[k.Key] {
					used[k.Key] = true
					var lines int
					text, lines = fillIn(t, text, k.Key, value)
					typed += lines
				}
			}
		}
		if err := os.WriteFile("job.toml", []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		if typed == before || runs == mostRuns {
			t.Fatalf("run %d, %d lines typed: %s", runs, typed, run(t, "check", "job.toml").stdout)
		}
	}
	t.Logf("%d answers as flags, %d lines typed into the job, %d runs", len(answers), typed, runs)
	if typed > mostTyped || len(answers)+typed > mostSaid {
		t.Errorf("%d lines typed and %d flags, at most %d and %d together are wanted", typed, len(answers), mostTyped, mostSaid)
	}
	for key := range nameplates {
		if !used[key] {
			t.Errorf("nothing asks for %s", key)
		}
	}
}

func TestNewUserReachesTheEnd(t *testing.T) {
	long(t)
	list, err := filepath.Glob("../../testdata/drafts/*.answers")
	if err != nil || len(list) == 0 {
		t.Fatal(err, list)
	}
	for _, path := range list {
		name := strings.TrimSuffix(filepath.Base(path), ".answers")
		t.Run(name, func(t *testing.T) { newUser(t, name) })
	}
}
