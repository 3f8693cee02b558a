package survey

import (
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
)

// surveyState is one array as built: the survey against the plan, and what the
// feet carry where they really stand.
type surveyState struct {
	built    *layout.AsBuilt
	rows     []layout.RowFit
	short    []string // lines of which fewer than two feet were found
	supports *layout.Supports
	spans    map[string]float64 // largest span of each line
	overs    map[string]float64 // largest overhang of each line
	outer    map[int]bool       // planned feet at the ends of their lines
	needs    []Need             // why the survey cannot be compared
	carry    []Need             // why it is not known what the feet carry
}

// surveyed is an array as built, a row of it, or a foot of it.
type surveyed struct {
	array *job.Array
	s     *surveyState
	row   int // into rows, then short
	match int // into built.Matches
}

func (m *Model) survey(a *job.Array) *surveyState {
	return shared(m, "survey/"+a.Name.Value, func() *surveyState {
		s := &surveyState{spans: map[string]float64{}, overs: map[string]float64{}}
		c := &Call{m: m, subject: m.subjectOf("array", a)}
		c.compare(a, s)
		s.needs = c.out.Needs
		if len(s.needs) == 0 {
			c = &Call{m: m, subject: m.subjectOf("array", a)}
			c.carryBuilt(a, s)
			s.carry = c.out.Needs
		}
		return s
	})
}

// compare pairs the surveyed points of an array with its planned feet.
func (c *Call) compare(a *job.Array, s *surveyState) {
	tolerance := c.Q(c.m.Job.AsBuilt.Tolerance)
	l := c.placed(a)
	var points []layout.Surveyed
	for _, p := range c.m.Job.AsBuilt.Points {
		if p.Array == a.Name.Value {
			points = append(points, layout.Surveyed{At: layout.Point{X: p.X, Y: p.Y}, Height: p.Height, HeightKnown: p.HeightKnown})
		}
	}
	if len(points) == 0 {
		c.Fail("the survey has no point of array %s", a.Name.Value)
	}
	if c.Stop() {
		return
	}
	var err error
	if s.built, err = layout.Compare(l.array, l.feet, points, tolerance); err != nil {
		c.Err(err)
		return
	}
	if s.rows, s.short, err = s.built.Rows(); err != nil {
		c.Err(err)
	}
	s.outer = ends(s.built)
}

// ends are the planned feet with no other farther out on one side of their
// line.
func ends(b *layout.AsBuilt) map[int]bool {
	left, right := map[string]int{}, map[string]int{}
	place := func(i int) float64 { return b.Array.Frame.ToArray(b.Planned[i].At).X }
	for i, f := range b.Planned {
		if l, ok := left[f.Line]; !ok || place(i) < place(l) {
			left[f.Line] = i
		}
		if r, ok := right[f.Line]; !ok || place(i) > place(r) {
			right[f.Line] = i
		}
	}
	outer := map[int]bool{}
	for line := range left {
		outer[left[line]], outer[right[line]] = true, true
	}
	return outer
}

// carryBuilt works out spans and overhangs where the feet really stand.
func (c *Call) carryBuilt(a *job.Array, s *surveyState) {
	mount := c.mount(a)
	if c.Stop() {
		return
	}
	feet := s.built.Feet(c.m.Job.AsBuilt.Tolerance.Value.SI)
	var err error
	if s.supports, err = layout.Carry(s.built.Array, feet, mount); err != nil {
		c.Err(err)
		return
	}
	for _, span := range s.supports.Spans() {
		line := feet[span.From].Line
		s.spans[line] = math.Max(s.spans[line], span.Length)
	}
	for _, o := range s.supports.Overhangs() {
		line := feet[o.Foot].Line
		s.overs[line] = math.Max(s.overs[line], o.Length)
	}
}

// surveyedKind is a kind of surveyed things: those that list gives for each
// array, or one unknown thing for an array that cannot be compared. A job
// without a survey has none.
func surveyedKind(name, plural, meaning string, list func(k *Kind, a *job.Array, s *surveyState) []*Subject) {
	k := newKind(name, plural, meaning)
	k.all = func(m *Model) []*Subject {
		var out []*Subject
		if !m.Job.AsBuilt.File.Known {
			return out
		}
		for i := range m.Job.Arrays {
			a := &m.Job.Arrays[i]
			s := m.survey(a)
			if len(s.needs) > 0 {
				out = append(out, unknownSubject(k, a.Name.Value+" (all)", "as_built", m.Job.AsBuilt.File.At, s.needs))
				continue
			}
			out = append(out, list(k, a, s)...)
		}
		return out
	}
	derive(name, "array", thing("array"), "the array it belongs to", "the job", "", func(c *Call, x *surveyed) any { return c.Subject("array", x.array) })
}

func defineAsBuilt() {
	subject := func(k *Kind, name string, a *job.Array, x *surveyed) *Subject {
		return &Subject{Kind: k, Name: name, Key: "as_built", At: a.At, data: x}
	}
	surveyedKind("surveyed_array", "surveyed_arrays", "an array as the survey found it", func(k *Kind, a *job.Array, s *surveyState) []*Subject {
		return []*Subject{subject(k, a.Name.Value, a, &surveyed{array: a, s: s})}
	})
	surveyedKind("surveyed_row", "surveyed_rows", "a line of feet as the survey found it", func(k *Kind, a *job.Array, s *surveyState) []*Subject {
		var out []*Subject
		for i, r := range s.rows {
			out = append(out, subject(k, a.Name.Value+" "+r.Line, a, &surveyed{array: a, s: s, row: i}))
		}
		for _, line := range s.short {
			out = append(out, unknownSubject(k, a.Name.Value+" "+line, "as_built", a.At,
				[]Need{{Why: "fewer than two feet of " + line + " were found", At: a.At}}))
		}
		return out
	})
	surveyedKind("surveyed_foot", "surveyed_feet", "a planned foot that the survey found", func(k *Kind, a *job.Array, s *surveyState) []*Subject {
		var out []*Subject
		for i, m := range s.built.Matches {
			out = append(out, subject(k, s.built.Planned[m.Planned].Name, a, &surveyed{array: a, s: s, match: i}))
		}
		return out
	})

	derive("surveyed_array", "missing_feet", count, "planned feet that no surveyed point was found for", "geometry", "", func(c *Call, x *surveyed) any {
		c.Drive(c.m.Job.AsBuilt.File.At)
		return len(x.s.built.Missing)
	})
	derive("surveyed_array", "extra_feet", count, "surveyed points that belong to no planned foot", "geometry", "", func(c *Call, x *surveyed) any {
		c.Drive(c.m.Job.AsBuilt.File.At)
		return len(x.s.built.Extra)
	})
	derive("surveyed_array", "level_range", measured(quantity.Length), "highest less lowest foot against the plane that lies nearest to all of them", "least squares", "", func(c *Call, x *surveyed) any {
		c.Drive(c.m.Job.AsBuilt.File.At)
		fit, err := x.s.built.Level()
		if err != nil {
			return c.Err(err)
		}
		return fit.Range
	})
	derive("surveyed_array", "diagonal_difference", measured(quantity.Length), "how much the difference between the diagonals over the four outermost feet departs from the planned one", "geometry", "", diagonalDifference)

	row := func(x *surveyed) layout.RowFit { return x.s.rows[x.row] }
	derive("surveyed_row", "straightness", measured(quantity.Length), "largest distance of a foot from the straight line through the row", "C. M. Shakarji, Journal of Research of NIST 103(6), 1998 (total least squares)", "", func(c *Call, x *surveyed) any {
		c.Drive(c.m.Job.AsBuilt.File.At)
		return row(x).Fit.Largest
	})
	derive("surveyed_row", "largest_span", measured(quantity.Length), "largest distance between two feet next to each other, as built", "geometry", "", func(c *Call, x *surveyed) any {
		c.out.Needs = append(c.out.Needs, x.s.carry...)
		c.Drive(c.m.Job.AsBuilt.File.At)
		span, ok := x.s.spans[row(x).Line]
		if !ok {
			return c.Fail("no two feet stand next to each other on %s", row(x).Line)
		}
		return span
	})
	derive("surveyed_row", "largest_cantilever", measured(quantity.Length), "largest overhang past a foot, as built", "geometry", "", func(c *Call, x *surveyed) any {
		c.out.Needs = append(c.out.Needs, x.s.carry...)
		c.Drive(c.m.Job.AsBuilt.File.At)
		over, ok := x.s.overs[row(x).Line]
		if !ok {
			return c.Fail("no foot of %s carries anything", row(x).Line)
		}
		return over
	})

	derive("surveyed_foot", "moved", measured(quantity.Length), "distance of the foot from its mark", "geometry", "", func(c *Call, x *surveyed) any {
		c.Drive(c.m.Job.AsBuilt.File.At)
		return x.s.built.Matches[x.match].Moved
	})
	derive("surveyed_foot", "framing_distance", measured(quantity.Length), "distance of its worst fastener, where it stands, from the centre of the nearest framing member", "geometry", "", func(c *Call, x *surveyed) any {
		c.Drive(c.m.Job.AsBuilt.File.At)
		return c.framingDistance(x.array, x.foot())
	})
	derive("surveyed_foot", "outer", flag, "whether it is the first or the last planned foot of its line", "geometry", "", func(c *Call, x *surveyed) any {
		return x.s.outer[x.s.built.Matches[x.match].Planned]
	})
	derive("surveyed_foot", "beyond_mark", measured(quantity.Length), "how far its fasteners still stand on both sides of its mark; negative when all stand on one side", "geometry", "", func(c *Call, x *surveyed) any {
		c.Drive(c.m.Job.AsBuilt.File.At)
		screws := c.screws(x.array, x.foot())
		if c.Stop() {
			return nil
		}
		return settled(layout.Beyond(x.planned().At, screws, layout.AlongEave))
	})
}

func (x *surveyed) planned() layout.Foot {
	return x.s.built.Planned[x.s.built.Matches[x.match].Planned]
}

// foot is the planned foot where the survey found it.
func (x *surveyed) foot() layout.Foot {
	f := x.planned()
	f.At = x.s.built.Survey[x.s.built.Matches[x.match].Surveyed].At
	return f
}

// diagonalDifference is the string-line check of the corners: both diagonals
// over the outermost feet of the lowest and highest line, against the plan.
func diagonalDifference(c *Call, x *surveyed) any {
	c.Drive(c.m.Job.AsBuilt.File.At)
	b := x.s.built
	found := map[int]layout.Point{}
	for _, m := range b.Matches {
		found[m.Planned] = b.Survey[m.Surveyed].At
	}
	var planned, real [4]layout.Point
	for i, f := range corners(b) {
		at, ok := found[f]
		if !ok {
			return c.Fail("the corner foot %s was not found", b.Planned[f].Name)
		}
		planned[i], real[i] = b.Planned[f].At, at
	}
	want, err := layout.Square(planned)
	if err != nil {
		return c.Err(err)
	}
	got, err := layout.Square(real)
	if err != nil {
		return c.Err(err)
	}
	return math.Abs(got.Difference - want.Difference)
}

// corners are the planned feet at the ends of the lowest and the highest line,
// anticlockwise from the lower left.
func corners(b *layout.AsBuilt) [4]int {
	place := func(i int) layout.Point { return b.Array.Frame.ToArray(b.Planned[i].At) }
	low, high := 0, 0
	for i := range b.Planned {
		if place(i).Y < place(low).Y {
			low = i
		}
		if place(i).Y > place(high).Y {
			high = i
		}
	}
	ends := func(line string) (left, right int) {
		left, right = -1, -1
		for i, f := range b.Planned {
			if f.Line != line {
				continue
			}
			if left < 0 || place(i).X < place(left).X {
				left = i
			}
			if right < 0 || place(i).X > place(right).X {
				right = i
			}
		}
		return left, right
	}
	lowLeft, lowRight := ends(b.Planned[low].Line)
	highLeft, highRight := ends(b.Planned[high].Line)
	return [4]int{lowLeft, lowRight, highRight, highLeft}
}
