package review

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/mutation"
)

// structural are the sections of a job that say which roof it is, what loads it,
// and what stands on it by what.
var structural = []string{"site", "building", "plane", "module_type", "mounting_type", "fastener_type", "array", "engineered"}

// electrical are the units of what else stands there.
var electrical = []string{"V", "A", "W", "degC", "/K"}

// changed is one way of changing the numbers of a field.
type changed struct{ field, way string }

// Leaving out, halving or doubling a number of the structural part of a job is
// refused or moves an outcome: its result, or a number that a check holds against
// another. A number of a fastener, a mounting, a covering or a framing does so
// for each of their kinds. What moves nothing stands in testdata/exceptions.toml
// with the reason.
func TestStructuralValuesAreNoticed(t *testing.T) {
	b, _ := book(t)
	var o Options
	for _, c := range b.Checks {
		if slices.Contains([]string{"structural", "layout", "fire", "documents"}, c.Discipline) {
			o.Only = append(o.Only, c.ID)
		}
	}
	moved := map[changed]bool{} // false: tried, and nothing moved
	if testing.Short() {
		sessionOf(t, filepath.Join(jobs, "house.toml"), o).move(moved)
		if len(moved) < 100 {
			t.Errorf("only %d changes", len(moved))
		}
		return
	}
	for _, name := range ordinary(t) {
		_, whole, _ := settled(t, name, o)
		whole.move(moved)
	}
	for _, name := range []string{"barn", "house", "commercial"} {
		sessionOf(t, filepath.Join(jobs, name+".toml"), o).move(moved)
	}
	if len(moved) < 300 {
		t.Errorf("only %d changes", len(moved))
	}
	x := excepted(t)
	still := map[string]bool{}
	for c, noticed := range moved {
		if still[c.field] = still[c.field] || !noticed; !noticed && !x.number(c.field, c.way) {
			t.Errorf("%s %s moves no outcome", c.field, c.way)
		}
	}
	for _, n := range x.Numbers {
		for _, field := range n.Of {
			if !still[field] {
				t.Errorf("testdata/exceptions.toml: the exception of %s is not needed", field)
			}
		}
	}
}

// move makes every change that has moved nothing so far.
func (s *Session) move(moved map[changed]bool) {
	before := s.Review()
	j := before.Job
	numbers := map[string]bool{}
	for _, m := range mutation.Changes(j, 1) {
		text, _ := m.Edits.Set[m.Key].(string)
		_, unit, _ := strings.Cut(text, " ")
		section, _, _ := strings.Cut(m.Field, ".")
		numbers[m.Key] = scaledNumber(m) && slices.Contains(structural, section) && !slices.Contains(electrical, unit)
	}
	for way, all := range map[string][]mutation.Mutation{"left out": mutation.Removals(j), "halved": mutation.Changes(j, 0.5), "doubled": mutation.Changes(j, 2)} {
		for _, m := range all {
			c := changed{kindOf(j, m), way}
			if !numbers[m.Key] || moved[c] {
				continue
			}
			next, err := s.With(m.Edits)
			moved[c] = err != nil || !slices.EqualFunc(before.Outcomes, next.Review().Outcomes, alike)
		}
	}
}

// kindOf is the field of a changed value, and of which kind the thing is that has it.
func kindOf(j *job.Job, m mutation.Mutation) string {
	parts, _ := job.SplitKey(m.Key)
	named := func(e job.Entity) bool { return len(parts) > 1 && e.Name.Value == parts[1] }
	kind := ""
	switch {
	case parts[0] == "fastener_type":
		kind = j.FastenerTypes[slices.IndexFunc(j.FastenerTypes, func(f job.FastenerType) bool { return named(f.Entity) })].Kind.Value
	case parts[0] == "mounting_type":
		kind = j.MountingTypes[slices.IndexFunc(j.MountingTypes, func(f job.MountingType) bool { return named(f.Entity) })].Kind.Value
	case parts[0] == "plane" && len(parts) > 3:
		p := j.Planes[slices.IndexFunc(j.Planes, func(p job.Plane) bool { return named(p.Entity) })]
		if kind = p.Covering.Kind.Value; parts[2] == "framing" {
			kind = p.Framing.Material.Value + " " + p.Framing.Member.Value
		}
	}
	if kind == "" {
		return m.Field
	}
	return m.Field + " of a " + kind
}

// alike tells whether two outcomes weigh the same.
func alike(a, b Outcome) bool {
	same := func(a, b *Amount) bool { return a == b || a != nil && b != nil && *a == *b }
	return a.Check == b.Check && a.Subject.Key == b.Subject.Key && a.Result == b.Result && same(a.Measure, b.Measure) && same(a.Limit, b.Limit)
}
