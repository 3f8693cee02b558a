package plan

import (
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// Figure is a length in metres that a job may leave open.
type Figure struct {
	Known  bool
	Metres float64
	Key    string // of the job, where it is to be stated
}

// Section is what a section through a foot shows: of one mounting with one
// fastener on one kind of roof, and of the arrays that have it.
type Section struct {
	Arrays []string

	Mounting, MountingKind string
	Fastener, FastenerKind string
	Covering, Member       string // kinds
	FixedTo                string // a word of arrays.FixedTo, "" where it is not known
	Each                   int    // fasteners in a foot; 0 where it is not known
	OnCrest                bool   // of a ribbed sheet
	Wood                   bool   // the member
	Module, StandOff       Figure // height of the frame, clear gap below it
	Sheet, RibHeight       Figure
	RibPitch, Sheathing    Figure
	Diameter, Length, Head Figure // of the fastener
	Plate                  Figure // foot, flashing and covering above the deck
	Width, Depth, Wall     Figure // of the member
	MemberSpacing          Figure
	FootSpacing            Figure
	Embedment              Figure // of the fastener in the member, tip included; negative where it ends above it
	Out                    Figure // of a metal screw past the steel that holds it
}

// Sections are the sections through the feet of a job, one for each way in which
// arrays are fixed.
func Sections(m *terms.Model) []Section {
	list, _ := sections.Known(m, m.Job)
	return list
}

var sections = terms.Analyse(terms.KindFor[job.Job](), "sections through the feet", func(c *terms.Call, j *job.Job) []Section {
	var out []Section
	type fixing struct{ mounting, fastener, covering, member string }
	at := map[fixing]int{}
	planes := map[string]*job.Plane{}
	for i := range j.Planes {
		planes[j.Planes[i].Name.Value] = &j.Planes[i]
	}
	for i := range j.Arrays {
		a := &j.Arrays[i]
		p := planes[terms.Peek(c, a.Plane)]
		if p == nil || terms.Peek(c, p.Ground) {
			continue
		}
		s := section(c, a, p)
		if s.MountingKind == "ballast" {
			continue // nothing is fixed to the roof
		}
		key := fixing{s.Mounting, s.Fastener, s.Covering, s.Member}
		if k, seen := at[key]; seen && alike(&out[k], &s) {
			out[k].Arrays = append(out[k].Arrays, s.Arrays...)
			continue
		}
		at[key] = len(out)
		out = append(out, s)
	}
	return out
})

// alike tells whether one picture shows both.
func alike(a, b *Section) bool {
	same := func(x, y Figure) bool { return x.Known == y.Known && math.Abs(x.Metres-y.Metres) < sameLength }
	return a.Each == b.Each && a.FixedTo == b.FixedTo && same(a.StandOff, b.StandOff) && same(a.Depth, b.Depth) && same(a.Width, b.Width) &&
		same(a.RibHeight, b.RibHeight) && same(a.Sheathing, b.Sheathing) && same(a.FootSpacing, b.FootSpacing) && same(a.MemberSpacing, b.MemberSpacing) && same(a.Module, b.Module)
}

func section(whole *terms.Call, a *job.Array, p *job.Plane) Section {
	c := whole.Part()
	figure := func(q job.Quantity) Figure {
		return Figure{Known: terms.Stated(c, q), Metres: terms.Peek(c, q).SI, Key: q.Key}
	}
	s := Section{Arrays: []string{a.Name.Value}, Mounting: terms.Peek(c, a.Mounting), Fastener: terms.Peek(c, a.Attachments.Fastener),
		Covering: terms.Peek(c, p.Covering.Kind), Member: terms.Peek(c, p.Framing.Member), Wood: terms.Peek(c, p.Framing.Material) == "wood",
		Each: terms.Peek(c, a.Attachments.FastenersEach), StandOff: figure(a.StandOff), FootSpacing: figure(a.Attachments.Spacing),
		Sheet: figure(p.Covering.Thickness), RibHeight: figure(p.Covering.RibHeight), RibPitch: figure(p.Covering.RibPitch), Sheathing: figure(p.Covering.Sheathing),
		Width: figure(p.Framing.Width), Depth: figure(p.Framing.Depth), Wall: figure(p.Framing.Thickness), MemberSpacing: figure(p.Framing.Spacing)}
	if t, ok := terms.Seek(c, terms.KindFor[job.ModuleType](), a.Module); ok {
		s.Module = figure(t.Thickness)
	}
	if t, ok := terms.Seek(c, terms.KindFor[job.MountingType](), a.Mounting); ok {
		s.MountingKind = terms.Peek(c, t.Kind)
		s.OnCrest = terms.Peek(c, t.FastenerPlace) != "pan"
	}
	if f, ok := terms.Seek(c, terms.KindFor[job.FastenerType](), a.Attachments.Fastener); ok {
		s.FastenerKind = terms.Peek(c, f.Kind)
		s.Diameter, s.Length, s.Head, s.Plate = figure(f.Diameter), figure(f.Length), figure(f.Head), figure(f.PlateAndFlashing)
	}
	s.FixedTo, _ = arrays.FixedTo.Try(whole, a)
	if above, ok := aboveMember(whole, a, p); ok && s.Length.Known && s.Plate.Known {
		s.Embedment = Figure{Known: true, Metres: s.Length.Metres - s.Plate.Metres - above}
	}
	if s.FastenerKind == "metal-screw" {
		if out, ok := arrays.ScrewOut.Try(whole, a); ok {
			s.Out = Figure{Known: true, Metres: out}
		}
	}
	return s
}

// aboveMember is what a fastener passes between its plate and the member: the
// hollow of a rib and the deck.
func aboveMember(whole *terms.Call, a *job.Array, p *job.Plane) (float64, bool) {
	c := whole.Part()
	above := arrays.Hollow(c, a, p) + arrays.Sheathing(c, p)
	return above, !c.Stop()
}
