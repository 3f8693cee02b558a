package review

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/mutation"
	"plumbrule/internal/terms"
)

// elsewise are the keys without which something else is asked for, which says
// the same in another way.
var elsewise = map[string]bool{
	"obstruction.diameter":           true, // width and height
	"mounting_type.cantilever_share": true, // a length instead
	"inverter_type.inputs":           true, // the input of each string; with one input it is that
	"panel.feeder":                   true, // its ampacity and its overcurrent device
	"panel.loads":                    true, // taken to have some: the option of its busbar
	"circuit.overcurrent":            true, // whether a device that protects no circuit is backfed
}

// A value that is left out is on the list of what is missing, or no outcome
// waits for it. Every key of the list has a place in the file.
func TestWhatIsLeftOutIsListed(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 4))
	for _, name := range demoJobs(t) {
		s := session(t, name)
		before := pairs(s.Review())
		all := mutation.Removals(s.Review().Job)
		random.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
		for _, m := range all[:40/share()] {
			next, err := s.With(m.Edits)
			if err != nil {
				continue // refused
			}
			r := next.Review()
			var keys []string
			for _, missing := range r.Missing() {
				keys = append(keys, missing.Need.Keys...)
				if len(missing.Slots) != len(missing.Need.Keys) {
					t.Errorf("%s, %s: %s has no place in the job", name, m.Says, missing.Need)
				}
			}
			if slices.Contains(keys, m.Key) || elsewise[m.Field] {
				continue
			}
			for i := range r.Outcomes {
				o := &r.Outcomes[i]
				if o.Result == Undetermined && before[[2]string{o.Check.ID, o.Subject.Label()}] != Undetermined && len(o.Reasons) == 0 {
					t.Errorf("%s, %s: %s waits for %v, and the list has not %s", name, m.Says, o.Check.ID, o.Needs, m.Key)
					break
				}
			}
		}
	}
}

// Stating what the list asks for leads back to the review of the whole job in a
// few rounds, whatever was left out together.
func TestTheListLeadsToTheEnd(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 5))
	for _, name := range []string{"house", "barn", "commercial"} {
		s := session(t, name)
		all := mutation.Removals(s.Review().Job)
		for range 4 / share() {
			left := map[string]bool{}
			for len(left) < 15 {
				m := all[random.IntN(len(all))]
				if _, err := s.With(m.Edits); err == nil && !elsewise[m.Field] {
					left[m.Key] = true
				}
			}
			const rounds = 5
			for round := 1; ; round++ {
				next, err := s.With(job.Edits{Unset: slices.Sorted(maps.Keys(left))})
				if err != nil {
					break // refused together
				}
				stated := false
				missing := next.Review().Missing()
				for _, m := range missing {
					for _, key := range m.Need.Keys {
						stated = stated || left[key]
						delete(left, key)
					}
				}
				if !stated {
					for _, m := range missing {
						t.Errorf("%s without %v: %s is asked for", name, slices.Sorted(maps.Keys(left)), m.Need)
					}
					break
				}
				if round == rounds {
					t.Errorf("%s: after %d rounds the list is not empty", name, rounds)
					break
				}
			}
		}
	}
}

// The list has each need once, in the order of what waits for it; what is
// excused waits for nothing.
func TestMissingCounts(t *testing.T) {
	needs := func(keys ...string) []Need {
		var out []Need
		for _, k := range keys {
			out = append(out, Need{Keys: []string{k}})
		}
		return out
	}
	j, err := job.Parse("job.toml", []byte("[project]\nname = \"Shed\"\n"), nil)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := book(t)
	open := func(n []Need, reasons ...string) Outcome {
		return Outcome{Check: b.Checks[0], Subject: &terms.Subject{}, Result: Undetermined, Needs: n, Reasons: reasons}
	}
	excused := open(needs("site.sds"))
	excused.Excused = &Deviation{}
	met := open(nil)
	met.Result = Met
	r := &Review{Job: j, Outcomes: []Outcome{
		open(needs("site.elevation", "site.exposure")),
		open(needs("site.exposure")),
		open(needs("site.wind_speed", "site.elevation")),
		open([]Need{{Keys: []string{"adoption.ibc", "adoption.irc"}}}),
		open(needs("site.sds"), "a contradiction"),
		open(nil, "another"),
		excused, met,
	}}
	var got []string
	for _, m := range r.Missing() {
		got = append(got, fmt.Sprintf("%s %d %d", m.Need, m.Waiting, m.Alone))
	}
	want := []string{"site.exposure 2 1", "site.elevation 2 0", "adoption.ibc or adoption.irc 1 1", "site.sds 1 0", "site.wind_speed 1 0"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, expected %q", got, want)
	}
	if n := r.Waiting(); n != 5 {
		t.Errorf("%d outcomes wait, expected 5", n)
	}
}
