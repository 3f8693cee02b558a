package remedy

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"runtime/debug"
	"slices"
	"sync"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	os.Exit(m.Run())
}

const jobs = "../../testdata/jobs"

var books = sync.OnceValues(func() (*codebook.Codebook, error) { return codebook.Load(rules.FS) })
var tables = sync.OnceValues(func() (*table.Set, error) { return table.Load(rules.FS, "tables") })

// session reviews a demo job, all of which is written out, with values changed.
func session(t testing.TB, name string, set map[string]any) *review.Session {
	t.Helper()
	path := filepath.Join(jobs, name+".toml")
	tree, err := job.LoadTree(path)
	if err != nil {
		t.Fatal(err)
	}
	text, err := tree.Expanded()
	if err != nil {
		t.Fatal(err)
	}
	if tree, err = job.Read(path, text, job.ReadFile); err != nil {
		t.Fatal(err)
	}
	if tree, err = tree.With(job.Edits{Set: set}); err != nil {
		t.Fatal(err)
	}
	return fresh(t, tree)
}

// fresh reviews a job with nothing taken over.
func fresh(t testing.TB, tree *job.Tree) *review.Session {
	t.Helper()
	b, err := books()
	if err != nil {
		t.Fatal(err)
	}
	s, err := tables()
	if err != nil {
		t.Fatal(err)
	}
	out, err := review.NewSession(tree, b, s, review.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

const lag = `fastener_type."lag 5/16 x 4"`

// planted are faults, the key that is varied for one of their comments, and the value
// that a search through the steps by hand finds for it.
var planted = []struct {
	job, check, key, found string
	clean                  bool
	set                    map[string]any
}{
	{"barn", "electrical/overcurrent-large-enough", "overcurrent.F4.rating", "60 A", true, map[string]any{"overcurrent.F4.rating": "50 A"}},
	{"barn", "grounding/equipment-ground-size", `circuit."inverter output".ground`, "10 AWG", true, map[string]any{`circuit."inverter output".ground`: "14 AWG"}},
	{"barn", "grounding/supply-side-bonding-jumper", `circuit."supply side".ground`, "8 AWG", true, map[string]any{`circuit."supply side".ground`: "10 AWG"}},
	{"barn", "electrical/conductor-protection", `circuit."inverter output".conductor`, "6 AWG", true, map[string]any{`circuit."inverter output".conductor`: "10 AWG"}},
	{"barn", "electrical/string-voltage-inverter", "string.S1.modules", "14", true, map[string]any{"string.S1.modules": 16}},
	{"barn", "electrical/raceway-fill", `circuit."string 1".trade_size`, "3/4", true, map[string]any{`circuit."string 1".trade_size`: "1/2"}},
	{"barn", "electrical/disconnect-rating", `disconnect."PV disconnect".rating`, "60 A", true, map[string]any{`disconnect."PV disconnect".rating`: "30 A"}},
	{"barn", "layout/stand-off", "array.west.stand_off", "2 in", true, map[string]any{"array.west.stand_off": "1 in"}},
	{"barn", "electrical/string-fuse-smallest", "overcurrent.F1.rating", "25 A", true, map[string]any{"overcurrent.F1.rating": "15 A"}},
	{"barn", "electrical/string-fuse-largest", "overcurrent.F1.rating", "25 A", true, map[string]any{"overcurrent.F1.rating": "30 A"}},
	{"house", "structural/lag-penetration", lag + ".length", "2.5 in", true, map[string]any{lag + ".length": "2 in"}},
	{"house", "structural/attachment-spacing-zone", "array.south.attachments.spacing", "48 in", true, map[string]any{"array.south.attachments.spacing": "96 in"}},
	{"house", "grounding/array-ground-size", "grounding.array_conductor", "12 AWG", true, map[string]any{"grounding.array_conductor": "14 AWG"}},
	{"house", "grounding/electrode-conductor-size", "grounding.electrode_conductor", "6 AWG", true, map[string]any{"grounding.electrode_conductor": "10 AWG"}},
	{"house", "electrical/overcurrent-large-enough", "overcurrent.B3.rating", "35 A", true, map[string]any{"overcurrent.B3.rating": "25 A"}},
	{"commercial", "electrical/conductor-before-conditions", `circuit."combiner output".conductor`, "1/0 AWG", true, map[string]any{`circuit."combiner output".conductor`: "6 AWG"}},
	{"house", "fire/ridge-strip", "array.south.origin.2", "15 in", true, map[string]any{"array.south.origin": []any{"56 in", "40 in"}}},
	{"commercial", "electrical/raceway-fill", `circuit."combiner output".trade_size`, "1 1/2", true, map[string]any{`circuit."combiner output".trade_size`: "3/4"}},
}

// What a search finds holds when it is applied to the job and reviewed anew, and is
// what going through every declared step with a review of its own each finds: the
// nearest value that passes and makes nothing worse, else the nearest that passes.
func TestRemediesHold(t *testing.T) {
	passing := 0
	for _, x := range planted {
		name := fmt.Sprint(x.job, " ", x.set)
		s := session(t, x.job, x.set)
		found, err := Search(s, s.Review().Comments())
		if err != nil {
			t.Fatal(err)
		}
		seen := false
		for _, r := range found {
			if r.Why != "" {
				continue
			}
			if r.Comment.Check.ID == x.check && sameKey(r.Key, x.key) {
				seen = true
				if x.found != "" && (r.New != x.found || !r.Passes || r.Clean != x.clean) {
					t.Errorf("%s: %s -> %s, passes %v, clean %v, worse %v; want %s", name, r.Key, r.New, r.Passes, r.Clean, r.Worse, x.found)
				}
			}
			if r.Passes {
				passing++
			}
			holdFound(t, name, s, r)
		}
		if !seen {
			t.Errorf("%s: nothing was tried for %s by %s", name, x.check, x.key)
		}
	}
	if passing < 10 {
		t.Errorf("only %d remedies passed", passing)
	}
}

func sameKey(a, b string) bool {
	x, _ := job.SplitKey(a)
	y, _ := job.SplitKey(b)
	return slices.Equal(x, y)
}

// holdFound goes through all declared values by itself.
func holdFound(t *testing.T, name string, s *review.Session, r *Remedy) {
	t.Helper()
	subjects := map[string]bool{}
	var target *target
	for _, x := range targets(s.Review(), r.Comment) {
		if x.Key == r.Key && x.Vary == r.Vary {
			target = x
		}
	}
	if target == nil {
		t.Fatalf("%s: %s is no target", name, r.Key)
	}
	for _, o := range target.subjects {
		subjects[o.Subject.Label()] = true
	}
	slot, _ := s.Review().Job.Slot(keyOf(target))
	_, values, _ := valuesOf(s.Review(), slot, target)
	first, clean := "", ""
	for _, v := range values[:min(len(values), 64)] {
		tree, err := s.Tree().With(job.Edits{Set: map[string]any{r.Key: v.edit}})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := tree.Job(); err != nil {
			break
		}
		next := fresh(t, tree)
		if !passes(s.Review(), next.Review(), r, target, subjects) {
			continue
		}
		if first == "" {
			first = v.text
		}
		if worse(s, next, r, target) == 0 {
			clean = v.text
			break
		}
	}
	want := clean
	if clean == "" {
		want = first
	}
	switch {
	case r.Passes && (r.New != want || r.Clean != (clean != "")):
		t.Errorf("%s: %s of %s: %s (clean %v), by hand %q, clean %q", name, r.Key, r.Comment.Check.ID, r.New, r.Clean, first, clean)
	case !r.Passes && want != "":
		t.Errorf("%s: %s of %s: nothing found, by hand %q", name, r.Key, r.Comment.Check.ID, want)
	}
}

// worse counts what is worse in a changed job.
func worse(before, after *review.Session, r *Remedy, x *target) int {
	t := r.hold(before.Review(), after.Review(), x)
	t.turns(before.Review(), after.Review(), r.Comment.Check, t.own)
	return len(t.worse)
}

// passes is what a remedy has to do, said anew: in the changed job no subject of the
// check that hangs on the key is outstanding but those that waited before, each that
// was not met is met, and there is one.
func passes(before, after *review.Review, r *Remedy, x *target, own map[string]bool) bool {
	some := false
	for i := range after.Outcomes {
		o := &after.Outcomes[i]
		if o.Check.ID != r.Comment.Check.ID {
			continue
		}
		mine := own[o.Subject.Label()]
		hangs := mine || o.Check.Varied(after.Model, o.Subject)[x.at].Key == x.Key
		waited := slices.ContainsFunc(before.Outcomes, func(b review.Outcome) bool {
			return b.Check == o.Check && b.Subject.Label() == o.Subject.Label() && b.Result == review.Undetermined
		})
		if o.Result == review.Undetermined && !waited {
			return false
		}
		if mine && o.Result != review.Met || hangs && !mine && o.Outstanding() && !waited {
			return false
		}
		some = some || hangs && o.Result == review.Met
	}
	return some
}

// Many checks declare what may vary.
func TestDeclaredChecks(t *testing.T) {
	b, err := books()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, c := range b.Checks {
		if len(c.Varies) > 0 {
			n++
		}
	}
	if n < 40 {
		t.Errorf("%d checks declare what may vary", n)
	}
}

// A search gives the same whatever runs beside it.
func TestSearchIsSteady(t *testing.T) {
	s := session(t, "barn", map[string]any{"overcurrent.F4.rating": "50 A", "array.west.stand_off": "1 in"})
	var texts [2][]string
	for i := range texts {
		found, err := Search(s, s.Review().Comments())
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range found {
			texts[i] = append(texts[i], fmt.Sprint(r.Key, r.Old, r.New, r.Passes, r.Clean, r.Worse, r.Better, r.Tried))
		}
	}
	if len(texts[0]) == 0 || !reflect.DeepEqual(texts[0], texts[1]) {
		t.Errorf("two searches give\n%s\nand\n%s", texts[0], texts[1])
	}
}
