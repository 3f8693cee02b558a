package roofs

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
)

// Certain makes a computation undetermined that concludes from the kinds of
// edges of the given planes, where the drawing does not settle what lies between
// one of them and another plane, or the job states a kind that the drawing does
// not allow: it names the heights that are missing, and the places at which
// planes nearly meet or meet at heights that disagree.
func Certain(c *terms.Call, planes ...int) {
	s := laid.Of(c, c.Job())
	if s.Roof == nil {
		return
	}
	for _, d := range s.Roof.Doubts() {
		if slices.Contains(planes, d.A) || slices.Contains(planes, d.B) {
			c.Need(doubtNeeds(c, s, d)...)
		}
	}
	for _, m := range s.Roof.Misstatements() {
		if slices.Contains(planes, m.Plane) {
			p := &c.Job().Planes[m.Plane]
			c.Need(terms.Need{Why: "plane " + p.Name.Value + ": " + misstated(m), At: p.At})
		}
	}
}

// doubtNeeds is what would settle a doubt.
func doubtNeeds(c *terms.Call, s *State, d roofplan.Doubt) []terms.Need {
	if d.Kind == roofplan.HeightMissing {
		return missingHeights(c, d.A, d.B)
	}
	at := c.Job().Planes[d.A].Outline
	terms.Stated(c, at)
	readJoint(c, d.A, d.B)
	how := " apart in plan view and do not meet"
	if d.Kind == roofplan.HeightsDisagree {
		how = " apart in height"
	}
	sys := system(c)
	why := fmt.Sprintf("%s and %s lie %s%s, at %s and %s", edgeName(s, d.A, d.EdgeA), edgeName(s, d.B, d.EdgeB),
		quantity.Of(d.Distance, quantity.Length).Format(sys), how, place(d.AtA, sys), place(d.AtB, sys))
	return []terms.Need{{Why: why, At: at.At}}
}

// readJoint reads what is measured of the joints of two planes, so that what fails
// for it is seen to come from there.
func readJoint(c *terms.Call, a, b int) {
	for _, x := range Joint.All(c) {
		switch {
		case (x.a != a || x.b != b) && (x.a != b || x.b != a):
		case x.miss != nil:
			jointApart.Of(c, x)
		default:
			jointHeightsDisagree.Of(c, x)
		}
	}
}

// missingHeights are the heights of planes that the job leaves out.
func missingHeights(c *terms.Call, planes ...int) []terms.Need {
	var needs []terms.Need
	for _, i := range planes {
		if p := &c.Job().Planes[i]; !terms.Stated(c, p.EaveElevation) {
			needs = append(needs, terms.Need{Key: p.EaveElevation.Key, At: p.EaveElevation.At})
		}
	}
	return needs
}

// system is the system of units of the job's reports.
func system(c *terms.Call) quantity.System {
	terms.Stated(c, c.Job().Project.Units)
	return c.Job().System()
}

// edgeName is an edge of a plane as a job counts it.
func edgeName(s *State, plane, edge int) string {
	return fmt.Sprintf("edge %d of plane %s", edge+1, s.Roof.Plane(plane).Name)
}

// place is a place in plan view in words.
func place(p roofplan.Point, sys quantity.System) string {
	return "(" + quantity.Of(p.X, quantity.Length).Format(sys) + ", " + quantity.Of(p.Y, quantity.Length).Format(sys) + ")"
}

func misstated(m roofplan.Misstatement) string {
	return fmt.Sprintf("edge %d, stated as %s, %s", m.Edge+1, m.Stated, m.Found)
}

var _ = terms.Derive(planeKind, "misstated_edges", terms.Word, "edges whose stated kind the drawing does not allow; none where there is none", "geometry", "",
	func(c *terms.Call, p *job.Plane) string {
		terms.Drive(c, p.Outline)
		s := laid.Of(c, c.Job())
		if c.Stop() {
			return ""
		}
		var all []string
		for _, m := range s.Roof.Misstatements() {
			if m.Plane == s.Index[p.Name.Value] {
				all = append(all, misstated(m)+" at "+place(m.At, system(c)))
			}
		}
		if len(all) == 0 {
			return "none"
		}
		return strings.Join(all, "; ")
	})

// LevelChanges counts the places where one plane ends along another that lies
// higher or lower, or over or under it. Heights that disagree at a ridge count:
// as drawn the levels change there.
func LevelChanges(c *terms.Call) int {
	s := laid.Of(c, c.Job())
	if c.Stop() {
		return 0
	}
	limit := terms.Practice(c, "roof", "step", "value")
	steps := 0
	past := map[[2]int]bool{} // planes of which one ends over the other
	for _, d := range s.Roof.Doubts() {
		if d.Kind == roofplan.HeightsDisagree {
			readJoint(c, d.A, d.B)
		} else {
			c.Need(doubtNeeds(c, s, d)...)
		}
	}
	for i := range s.Roof.Len() {
		for _, e := range s.Roof.Edges(i) {
			switch {
			case e.Kind == roofplan.Step:
				steps++
			case e.Neighbour >= 0 || e.Beyond < 0 || e.Doubt != nil:
			case e.Rise == nil:
				c.Need(missingHeights(c, i, e.Beyond)...)
			case math.Abs(*e.Rise) > limit:
				past[[2]int{min(i, e.Beyond), max(i, e.Beyond)}] = true
			}
		}
	}
	return (steps+1)/2 + len(past) // each step is seen from both planes
}

// jointMark is a place where two planes meet in plan view, or nearly.
type jointMark struct {
	roof *State
	edge roofplan.Edge   // of the first plane, where both share a line in plan view
	miss *roofplan.Doubt // where they nearly meet; nil where they share a line
	a, b int             // planes
	at   roofplan.Point  // in plan view, on the first plane
	near roofplan.Point  // on the other
}

// Joint is the kind of joints.
var Joint = terms.NewKind("joint", "joints", "edges at which two planes meet in plan view, or come so near that they may be meant to", func(c *terms.Call, k terms.KindOf[jointMark]) []*terms.Subject {
	s, needs := laid.Try(c, c.Job())
	if s.Roof == nil {
		if len(needs) == 0 {
			return nil
		}
		return []*terms.Subject{k.Unknown("all joints", job.Join("plane", "joints"), c.Job().SectionAt("plane"), needs)}
	}
	var out []*terms.Subject
	count := map[string]int{}
	for _, m := range jointsOf(s) {
		first, second := &c.Job().Planes[m.a], &c.Job().Planes[m.b]
		name := first.Name.Value + " and " + second.Name.Value
		own := job.Join(job.Join(job.KeyPath("plane", &first.Entity), "joint"), second.Name.Value)
		if count[name]++; count[name] > 1 {
			own = job.Join(own, strconv.Itoa(count[name]))
			name = fmt.Sprint(name, " ", count[name])
		}
		out = append(out, k.Subject(name, own, first.At, &m))
	}
	return out
})

// jointsOf lists the joints by their first plane and round it, and then the
// near ones.
func jointsOf(s *State) []jointMark {
	var all []jointMark
	for i := range s.Roof.Len() {
		f := s.Roof.Frame(i)
		for _, e := range s.Roof.Edges(i) {
			if e.Neighbour > i {
				at := roofplan.Point{X: (e.From.X + e.To.X) / 2, Y: (e.From.Y + e.To.Y) / 2}
				all = append(all, jointMark{roof: s, edge: e, a: i, b: e.Neighbour, at: f.ToPlan(at), near: f.ToPlan(at)})
			}
		}
	}
	for _, d := range s.Roof.Doubts() {
		if d.Kind == roofplan.NearMiss {
			all = append(all, jointMark{roof: s, miss: &d, a: d.A, b: d.B, at: d.AtA, near: d.AtB})
		}
	}
	return all
}

// ofJoint declares a term of joints, which rests on the planes as laid out.
func ofJoint[V any](name string, t terms.TypeOf[V], meaning, source string, f func(c *terms.Call, x *jointMark) V) terms.TermOf[jointMark, V] {
	return terms.Derive(Joint, name, t, meaning, source, "", func(c *terms.Call, x *jointMark) V {
		laid.Of(c, c.Job())
		terms.Drive(c, c.Job().Planes[x.a].Outline)
		return f(c, x)
	})
}

var jointApart = ofJoint("apart", terms.Quantity(quantity.Length), "distance of the two edges in plan view; zero where they share a line within the accuracy of a drawing", "geometry; common practice",
	func(c *terms.Call, x *jointMark) float64 {
		terms.Practice(c, "roof", "near", "value")
		if x.miss == nil {
			return 0
		}
		return x.miss.Distance
	})

var _ = ofJoint("shares_line", terms.YesNo, "whether the two edges share a line in plan view", "geometry",
	func(_ *terms.Call, x *jointMark) bool { return x.miss == nil })

var _ = ofJoint("kind", terms.Word, "what the edge is: ridge, hip, valley, break, step, or as the job states it; near miss where the planes only come near", "geometry; common practice",
	func(c *terms.Call, x *jointMark) string {
		terms.Practice(c, "roof", "step", "value")
		if x.miss != nil {
			return "near miss"
		}
		if x.edge.Doubt != nil {
			c.Need(doubtNeeds(c, x.roof, *x.edge.Doubt)...)
		}
		return x.edge.Kind.String()
	})

var _ = ofJoint("kind_stated", terms.YesNo, "whether the job states what the edge is", "the job",
	func(c *terms.Call, x *jointMark) bool {
		for _, i := range [2]int{x.a, x.b} {
			for k := range c.Job().Planes[i].Edges {
				terms.Stated(c, c.Job().Planes[i].Edges[k].Kind)
			}
		}
		return x.miss == nil && x.roof.Roof.KindStated(x.edge)
	})

var _ = ofJoint("level_difference", terms.Quantity(quantity.Length), "height of one plane over the other at the middle of the edge", "geometry",
	func(c *terms.Call, x *jointMark) float64 {
		c.Need(missingHeights(c, x.a, x.b)...)
		terms.Drive(c, c.Job().Planes[x.b].EaveElevation)
		if c.Stop() {
			return 0
		}
		own, other := c.Q(c.Job().Planes[x.a].EaveElevation), c.Q(c.Job().Planes[x.b].EaveElevation)
		return math.Abs(own + x.roof.Roof.Frame(x.a).Rise(x.at) - other - x.roof.Roof.Frame(x.b).Rise(x.at))
	})

var jointHeightsDisagree = ofJoint("heights_disagree", terms.YesNo, "whether the edge would be a ridge or hip if the planes met, and their heights keep them apart by more than a step", "geometry; common practice",
	func(c *terms.Call, x *jointMark) bool {
		terms.Practice(c, "roof", "step", "value")
		c.Need(missingHeights(c, x.a, x.b)...)
		return x.edge.Doubt != nil && x.edge.Doubt.Kind == roofplan.HeightsDisagree
	})

var _ = ofJoint("edges", terms.Word, "the two edges, as the job counts them", "the job",
	func(c *terms.Call, x *jointMark) string {
		own, other := x.edge.Index, -1
		if x.miss != nil {
			own, other = x.miss.EdgeA, x.miss.EdgeB
		} else {
			other = x.roof.Roof.Mate(x.edge).Index
		}
		return edgeName(x.roof, x.a, own) + " and " + edgeName(x.roof, x.b, other)
	})

var _ = ofJoint("places", terms.Word, "where the two edges are nearest, in plan view; one place where they share a line", "geometry",
	func(c *terms.Call, x *jointMark) string {
		at, near := place(x.at, system(c)), place(x.near, system(c))
		if x.miss == nil {
			return at
		}
		return at + " and " + near
	})
