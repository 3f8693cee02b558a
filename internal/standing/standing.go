// Package standing reads and writes the list of what was outstanding in a job
// when its team began to hold a gate. The file is TOML, an entry a table, so that
// it can be looked through and kept beside the job.
package standing

import (
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
)

// format is that of the file.
const format = 1

// head says what the file is to those who open it.
const head = `# What was outstanding when this list was written. It stays in every report and
# does not count for the gate (plumbrule check --standing FILE). An entry holds while
# what its outcome reads of the job stays as it was. The list may only become shorter.
`

// Write writes a list, sorted, so that a file under version control shows what
// went.
func Write(w io.Writer, entries []review.StandingEntry) error {
	var b strings.Builder
	b.WriteString(head)
	fmt.Fprintf(&b, "format = %d\n", format)
	for _, e := range sorted(entries) {
		fmt.Fprintf(&b, "\n[[entry]]\ncheck   = %s\nsubject = %s\nread    = %s\n", job.Quote(e.Check), job.Quote(e.Subject), job.Quote(e.Read))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func sorted(entries []review.StandingEntry) []review.StandingEntry {
	return slices.SortedFunc(slices.Values(entries), func(a, b review.StandingEntry) int {
		return strings.Compare(a.Check+"\x00"+a.Subject+"\x00"+a.Read, b.Check+"\x00"+b.Subject+"\x00"+b.Read)
	})
}

var hash = regexp.MustCompile(`^[0-9a-f]{24}$`)

// Read reads a list. The error is source.Faults with every fault at its place.
func Read(f *source.File) (*review.Standing, error) {
	index, err := source.NewIndex(f)
	if err != nil {
		return nil, err
	}
	var top map[string]any
	if err := toml.Unmarshal(f.Text, &top); err != nil {
		return nil, source.Faults{{At: f.Start(), Message: "not TOML: " + err.Error()}}
	}
	var faults source.Faults
	unknown := func(path, key string, known ...string) {
		at := index.Of(path).Best()
		if key := index.Of(path).Key; key.Known() {
			at = key
		}
		fault := source.Fault{At: at, Message: fmt.Sprintf("unknown key %q", key), Expected: "the keys are " + strings.Join(known, ", ")}
		fault.Nearest, _ = quantity.Nearest(key, known)
		faults = append(faults, fault)
	}
	for _, key := range slices.Sorted(maps.Keys(top)) {
		if key != "format" && key != "entry" {
			unknown(source.Key("", key), key, "format", "entry")
		}
	}
	switch v, stated := top["format"]; {
	case !stated:
		faults = append(faults, source.Fault{At: f.Start(), Message: "format is missing", Expected: "a list that plumbrule check --write-standing FILE wrote is expected"})
	case v != int64(format):
		faults = append(faults, source.Fault{At: index.Of("format").Best(), Message: fmt.Sprintf("the list has format %v", v), Expected: fmt.Sprintf("format %d is read", format)})
	}
	out := &review.Standing{}
	entries, ok := top["entry"].([]map[string]any)
	if _, stated := top["entry"]; stated && !ok {
		faults = append(faults, source.Fault{At: index.Of("entry").Best(), Message: "entry: a repeated table is expected, written [[entry]]"})
	}
	for i, e := range entries {
		path := source.Item("entry", i)
		text := func(key string) string {
			at := index.Of(source.Key(path, key)).Best()
			if _, stated := e[key]; !stated {
				at = index.Of(path).Best()
			}
			s, isText := e[key].(string)
			if !isText || strings.TrimSpace(s) == "" || key == "read" && !hash.MatchString(s) {
				faults = append(faults, source.Fault{At: at, Message: fmt.Sprintf("%s of an entry is missing or cannot be read", key),
					Expected: "as plumbrule check --write-standing FILE writes it"})
			}
			return s
		}
		for _, key := range slices.Sorted(maps.Keys(e)) {
			if key != "check" && key != "subject" && key != "read" {
				unknown(source.Key(path, key), key, "check", "subject", "read")
			}
		}
		out.Entries = append(out.Entries, review.StandingEntry{Check: text("check"), Subject: text("subject"), Read: text("read")})
	}
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return out, nil
}

// Added lists the entries of a list that another does not have.
func Added(entries, before []review.StandingEntry) []review.StandingEntry {
	left := map[review.StandingEntry]int{}
	for _, e := range before {
		left[e]++
	}
	var out []review.StandingEntry
	for _, e := range sorted(entries) {
		if left[e]--; left[e] < 0 {
			out = append(out, e)
		}
	}
	return out
}
