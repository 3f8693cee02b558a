package proof

import (
	"bytes"
	"os"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/review"
)

// demoLines bounds the demo jobs: lines that are neither blank nor comment, of
// the job and of what it includes. They may become fewer.
var demoLines = map[string]int{"house": 250, "barn": 300}

// A demo job is no longer than it need be.
func TestDemoJobsAreShort(t *testing.T) {
	for name, most := range demoLines {
		j, err := job.Load(jobs + "/" + name + ".toml")
		if err != nil {
			t.Fatal(err)
		}
		lines := 0
		for _, f := range j.Files {
			for line := range bytes.Lines(f.Text) {
				if line = bytes.TrimSpace(line); len(line) > 0 && line[0] != '#' {
					lines++
				}
			}
		}
		if lines > most {
			t.Errorf("%s has %d lines, and had at most %d", name, lines, most)
		}
	}
}

// unsaid are checks that hold a stated value against the one that follows from
// others, or that look at what is stated alone: the short demo jobs no longer
// state it.
var unsaid = []string{
	"documents/load-calculation-claimed", "documents/photo-claimed", "documents/utility-approval-claimed", "electrical/raceway-support", "electrical/wet-agrees",
	"interconnection/source-breaker-backfed", "layout/bonding-parts", "layout/foot-count", "layout/height-agrees", "layout/module-count", "layout/wire-clips",
	"structural/eave-height-agrees", "structural/length-agrees", "structural/mean-roof-height-agrees", "structural/plan-axes", "structural/roof-shape-agrees",
	"structural/width-agrees",
}

// The demo jobs have the verdicts that they had when they wrote everything out
// (testdata/verdicts, recorded then), but for those on values that they leave
// out: those have their verdict in another demo job.
func TestShortJobsHaveTheVerdictsOfLongOnes(t *testing.T) {
	book, tables := own(t)
	decided := map[string]bool{}
	reviewed := func(name string) map[string]string {
		j, err := job.Load(jobs + "/" + name + ".toml")
		if err != nil {
			t.Fatal(err)
		}
		r, err := review.Run(j, book, tables, review.Options{})
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]string{}
		for i := range r.Outcomes {
			o := &r.Outcomes[i]
			out[o.Check.ID+": "+o.Subject.Name] = string(o.Result)
			if o.Result == review.Met || o.Result == review.NotMet {
				decided[o.Check.ID] = true
			}
		}
		return out
	}
	reviewed("commercial")
	for _, name := range []string{"house-faulty", "barn-faulty"} {
		reviewed(name)
	}
	for name := range demoLines {
		now := reviewed(name)
		text, err := os.ReadFile("../../testdata/verdicts/" + name + ".txt")
		if err != nil {
			t.Fatal(err)
		}
		compared := 0
		for line := range strings.Lines(string(text)) {
			parts := strings.SplitN(strings.TrimSuffix(line, "\n"), ": ", 3)
			if len(parts) != 3 {
				t.Fatalf("%s: the line %q is no verdict", name, line)
			}
			check, was := parts[0], parts[1]
			for subject := range strings.SplitSeq(parts[2], "; ") {
				compared++
				is := now[check+": "+subject]
				if is != was && !(is == string(review.NotApplicable) && slices.Contains(unsaid, check)) {
					t.Errorf("%s: %s of %q is %q and was %q", name, check, subject, is, was)
				}
			}
		}
		if compared < 2000 {
			t.Errorf("%s: only %d verdicts are recorded", name, compared)
		}
	}
	for _, check := range unsaid {
		if !decided[check] {
			t.Errorf("%s is decided in no demo job", check)
		}
	}
}
