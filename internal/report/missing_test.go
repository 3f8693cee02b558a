package report

import (
	"bytes"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
)

// blockOf is what a job leaves out as TOML, and the same with its comments taken
// off.
func blockOf(t *testing.T, r *review.Review) (block, bare string) {
	t.Helper()
	var b bytes.Buffer
	ahead, err := r.Ahead()
	if err != nil {
		t.Fatal(err)
	}
	if err := MissingTOML(&b, r, ahead, ""); err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, l := range strings.Split(b.String(), "\n") {
		if text, commented := strings.CutPrefix(l, "#"); commented && !strings.HasPrefix(text, " ") {
			lines = append(lines, text)
		} else if l != "" && !commented {
			t.Errorf("a line is no comment: %q", l)
		}
	}
	return b.String(), strings.Join(lines, "\n")
}

// bareJobs leave much out.
var bareJobs = []string{"../readme/workshop", "../ordinary/seam-clamps", "../ordinary/pole-barn", "../ordinary/sheet-brackets"}

// What a job that states no edition would be asked stands in the tables of the
// block with the rest, so that each opens once, and is told apart.
func TestTheBlockOfAJobWithoutEditions(t *testing.T) {
	r := reporttest.Drawn(t, "house", job.Edits{Unset: []string{"adoption", "rapid_shutdown.time"}}, nil)
	block, bare := blockOf(t, r)
	var decoded struct {
		RapidShutdown map[string]string `toml:"rapid_shutdown"`
		Adoption      map[string]string
	}
	if _, err := toml.Decode(bare, &decoded); err != nil {
		t.Fatalf("%v\n%s", err, bare)
	}
	if decoded.RapidShutdown["time"] == "" || decoded.Adoption["nec"] == "" {
		t.Errorf("the block lacks a key: %v", decoded)
	}
	if !strings.Contains(block, ", once the editions are stated\n#time = ") || strings.Contains(block, ", once the editions are stated\n#nec = ") {
		t.Errorf("what is asked later is not told apart:\n%s", block)
	}
}

// Without its comment signs the block is TOML that has every key of the list in
// its table, and each example is a value that the job takes there.
func TestTheBlockIsTOML(t *testing.T) {
	for _, name := range bareJobs {
		r := reporttest.Drawn(t, name, job.Edits{}, nil)
		_, bare := blockOf(t, r)
		var decoded map[string]any
		if _, err := toml.Decode(bare, &decoded); err != nil {
			t.Fatalf("%s: %v\n%s", name, err, bare)
		}
		tree, err := job.LoadTree("../../testdata/jobs/" + name + ".toml")
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Missing()) == 0 {
			t.Errorf("%s leaves nothing out", name)
		}
		for _, m := range r.Missing() {
			for _, s := range m.Slots {
				if s.Field.Table != nil {
					continue
				}
				value, ok := valueIn(decoded, s)
				if !ok {
					t.Errorf("%s: the block has no %s", name, s.Key)
					continue
				}
				if value == "..." {
					continue // it names a thing that the job does not have, or is free text
				}
				edited, err := tree.With(job.Edits{Set: map[string]any{s.Key: value}})
				if err != nil {
					t.Errorf("%s: %s: %v", name, s.Key, err)
					continue
				}
				if _, err := edited.Job(); err != nil {
					t.Errorf("%s: the example of %s is refused: %v", name, s.Key, err)
				}
			}
		}
	}
}

// valueIn finds the value of a key in a decoded block.
func valueIn(in map[string]any, s *job.Slot) (any, bool) {
	for _, o := range s.Tables {
		step := o.Key[strings.LastIndex(o.Key, ".")+1:]
		if o.Number == 0 {
			next, ok := in[step].(map[string]any)
			if !ok {
				return nil, false
			}
			in = next
			continue
		}
		list, ok := in[step].([]map[string]any)
		if !ok {
			return nil, false
		}
		found := false
		for _, entry := range list {
			if o.Name == "" || entry["name"] == o.Name {
				in, found = entry, true
				break
			}
		}
		if !found {
			return nil, false
		}
	}
	v, ok := in[s.Field.Key]
	return v, ok
}

// Names of a job do not break out of the block.
func TestTheBlockIsSafe(t *testing.T) {
	name := "F4\"]\n[project]\x07\x7f\u202e \\ # x"
	r := reporttest.Trial(t, job.Edits{Set: map[string]any{"overcurrent.F4.name": name}})
	block, bare := blockOf(t, r)
	if strings.ContainsAny(block, "\x1b\x07\x7f\u202e") {
		t.Errorf("a control character of the job reaches the block: %q", block)
	}
	var decoded struct{ Overcurrent []struct{ Name string } }
	if _, err := toml.Decode(bare, &decoded); err != nil || len(decoded.Overcurrent) != 2 || decoded.Overcurrent[0].Name != name && decoded.Overcurrent[1].Name != name {
		t.Errorf("%v: %q\n%s", err, decoded, bare)
	}
}

func TestMissing(t *testing.T) {
	full, clear := reporttest.Trial(t, job.Edits{}), reporttest.Trial(t, reporttest.Clear)
	for name, c := range map[string]struct {
		review *review.Review
		write  func(*bytes.Buffer, *review.Review) error
	}{
		"missing.txt":       {full, func(b *bytes.Buffer, r *review.Review) error { return Missing(b, r, nil, TextOptions{Full: true}) }},
		"missing-brief.txt": {full, func(b *bytes.Buffer, r *review.Review) error { return Missing(b, r, nil, TextOptions{}) }},
		"missing.toml":      {full, func(b *bytes.Buffer, r *review.Review) error { return MissingTOML(b, r, nil, "") }},
		"missing-none.txt":  {clear, func(b *bytes.Buffer, r *review.Review) error { return Missing(b, r, nil, TextOptions{}) }},
		"missing-none.toml": {clear, func(b *bytes.Buffer, r *review.Review) error { return MissingTOML(b, r, nil, "") }},
	} {
		t.Run(name, func(t *testing.T) {
			var b bytes.Buffer
			if err := c.write(&b, c.review); err != nil {
				t.Fatal(err)
			}
			reporttest.Golden(t, name, b.Bytes())
		})
	}
}
