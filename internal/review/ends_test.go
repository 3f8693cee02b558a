package review

import (
	"strings"
	"testing"
	"testing/fstest"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
)

// endRules tell, in their findings, where each circuit begins and ends.
var endRules = fstest.MapFS{
	"electrical/begins.toml": {Data: []byte(endRule("begins_at"))},
	"electrical/ends.toml":   {Data: []byte(endRule("leads_to"))},
}

func endRule(term string) string {
	return `title    = "Tells ` + term + `"
severity = "advisory"
each     = "circuit"
require  = 'circuit.` + term + ` == ""'
because  = "A test reads it."
finding  = "{circuit.` + term + `}"
remedy   = "None."
scope    = ["DOC-04"]

[[cite]]
code    = "common practice"
section = "one-line diagram"

[[example]]
job     = "barn"
subject = "string 1"
expect  = "not met"

[[example]]
job     = "barn"
subject = "string 2"
expect  = "not met"
`
}

// Stating each end of a circuit that is found by what it carries changes
// nothing that a clean demo job is told: one end at a time, and all together.
func TestStatingEndsChangesNothing(t *testing.T) {
	rules, err := codebook.Load(endRules)
	if err != nil {
		t.Fatal(err)
	}
	_, tables := book(t)
	for _, name := range demoJobs(t) {
		if strings.HasSuffix(name, "-faulty") {
			continue
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := writtenOut(t, name)
			found, err := Run(s.Review().Job, rules, tables, Options{})
			if err != nil {
				t.Fatal(err)
			}
			before, all := pairs(s.Review()), map[string]any{}
			hold := func(set map[string]any) {
				t.Helper()
				next, err := s.With(job.Edits{Set: set})
				if err != nil {
					t.Errorf("%v: %v", set, err)
					return
				}
				after := pairs(next.Review())
				for pair, was := range before {
					if now := after[pair]; now != was {
						t.Errorf("%v: %s for %s turns from %s into %s", set, pair[0], pair[1], was, now)
					}
				}
				if len(after) != len(before) {
					t.Errorf("%v: %d outcomes, before %d", set, len(after), len(before))
				}
			}
			for i := range found.Outcomes {
				o := &found.Outcomes[i]
				c, ok := job.ByName(s.Review().Job.Circuits, strings.TrimPrefix(o.Subject.Label(), "circuit "))
				if !ok {
					t.Fatalf("no circuit %q", o.Subject.Label())
				}
				key, stated := "from", c.From.Known
				if strings.HasSuffix(o.Check.ID, "/ends") {
					key, stated = "to", c.To.Known
				}
				if o.Result != NotMet || stated || o.Finding == "nothing" {
					continue
				}
				key = job.Join(job.KeyPath("circuit", &c.Entity), key)
				all[key] = o.Finding
				hold(map[string]any{key: o.Finding})
			}
			if len(all) == 0 {
				t.Fatal("no end is found by what circuits carry")
			}
			hold(all)
		})
	}
}
