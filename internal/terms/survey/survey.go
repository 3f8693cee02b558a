// Package survey is the vocabulary of arrays as built: the surveyed feet against
// the planned ones. Package layout computes it.
package survey

import (
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/layout"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// found is one array as built: the survey against the plan.
type found struct {
	built *layout.AsBuilt
	rows  []layout.RowFit
	short []string     // lines of which fewer than two feet were found
	outer map[int]bool // planned feet at the ends of their lines
}

// carried is what the feet of an array carry where they really stand.
type carried struct {
	spans map[string]float64 // largest span of each line
	overs map[string]float64 // largest overhang of each line
}

// surveyed is an array as built, a row of it, or a foot of it.
type surveyed struct {
	array *job.Array
	row   int // into rows
	match int // into built.Matches
}

func (x *surveyed) on(c *terms.Call) *found { return surveys.Of(c, x.array) }

func (x *surveyed) line(c *terms.Call) layout.RowFit { return x.on(c).rows[x.row] }

// surveys compares the survey of an array with its plan.
var surveys = terms.Analyse(arrayKind, "survey", func(c *terms.Call, a *job.Array) *found {
	s := &found{}
	compare(c, a, s)
	return s
})

// carries works out what the feet of an array carry where they really stand.
var carries = terms.Analyse(arrayKind, "what the surveyed feet carry", func(c *terms.Call, a *job.Array) *carried {
	s := surveys.Of(c, a)
	out := &carried{spans: map[string]float64{}, overs: map[string]float64{}}
	if !c.Stop() {
		carryBuilt(c, a, s, out)
	}
	return out
})

// compare pairs the surveyed points of an array with its planned feet.
func compare(c *terms.Call, a *job.Array, s *found) {
	tolerance := c.Q(c.Job().AsBuilt.Tolerance)
	l := arrays.Feet.Of(c, a)
	var points []layout.Surveyed
	for _, p := range c.Job().AsBuilt.Points {
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
	if s.built, err = layout.Compare(l.Array, l.Feet, points, tolerance); err != nil {
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
func carryBuilt(c *terms.Call, a *job.Array, s *found, out *carried) {
	mount := arrays.Mount(c, a)
	if c.Stop() {
		return
	}
	feet := s.built.Feet(terms.Peek(c, c.Job().AsBuilt.Tolerance).SI)
	supports, err := layout.Carry(s.built.Array, feet, mount)
	if err != nil {
		c.Err(err)
		return
	}
	for _, span := range supports.Spans() {
		line := feet[span.From].Line
		out.spans[line] = math.Max(out.spans[line], span.Length)
	}
	for _, o := range supports.Overhangs() {
		line := feet[o.Foot].Line
		out.overs[line] = math.Max(out.overs[line], o.Length)
	}
}

// surveyedKind is a kind of surveyed things: those that list gives for each
// array, or one unknown thing for an array that cannot be compared. A job
// without a survey has none.
func surveyedKind(name, plural, meaning string, list func(k terms.KindOf[surveyed], key string, a *job.Array, s *found) []*terms.Subject) terms.KindOf[surveyed] {
	k := terms.NewKind(name, plural, meaning, func(c *terms.Call, k terms.KindOf[surveyed]) []*terms.Subject {
		var out []*terms.Subject
		file := c.Job().AsBuilt.File
		if !terms.Stated(c, file) {
			return out
		}
		for _, a := range arrayKind.All(c) {
			key := job.Join("as_built", a.Name.Value)
			s, needs := surveys.Try(c, a)
			if len(needs) > 0 {
				out = append(out, k.Unknown(a.Name.Value+" (all)", key, file.At, needs))
				continue
			}
			out = append(out, list(k, key, a, s)...)
		}
		return out
	})
	terms.Derive(k, "array", terms.ThingOf(arrayKind), "the array it belongs to", "the job", "", func(c *terms.Call, x *surveyed) *job.Array { return x.array })
	return k
}

// The kinds of what a survey found.
var (
	SurveyedArray = surveyedKind("surveyed_array", "surveyed_arrays", "an array as the survey found it",
		func(k terms.KindOf[surveyed], key string, a *job.Array, s *found) []*terms.Subject {
			return []*terms.Subject{k.Subject(a.Name.Value, key, a.At, &surveyed{array: a})}
		})
	SurveyedRow = surveyedKind("surveyed_row", "surveyed_rows", "a line of feet as the survey found it",
		func(k terms.KindOf[surveyed], key string, a *job.Array, s *found) []*terms.Subject {
			var out []*terms.Subject
			for i, r := range s.rows {
				out = append(out, k.Subject(a.Name.Value+" "+r.Line, job.Join(key, r.Line), a.At, &surveyed{array: a, row: i}))
			}
			for _, line := range s.short {
				out = append(out, k.Unknown(a.Name.Value+" "+line, job.Join(key, line), a.At,
					[]terms.Need{{Why: "fewer than two feet of " + line + " were found", At: a.At}}))
			}
			return out
		})
	SurveyedFoot = surveyedKind("surveyed_foot", "surveyed_feet", "a planned foot that the survey found",
		func(k terms.KindOf[surveyed], key string, a *job.Array, s *found) []*terms.Subject {
			var out []*terms.Subject
			for i, m := range s.built.Matches {
				name := s.built.Planned[m.Planned].Name
				out = append(out, k.Subject(name, job.Join(key, name), a.At, &surveyed{array: a, match: i}))
			}
			return out
		})
)

var _ = terms.Derive(SurveyedArray, "missing_feet", terms.WholeNumber, "planned feet that no surveyed point was found for", "geometry", "", func(c *terms.Call, x *surveyed) int {
	terms.Drive(c, c.Job().AsBuilt.File)
	return len(x.on(c).built.Missing)
})

var _ = terms.Derive(SurveyedArray, "extra_feet", terms.WholeNumber, "surveyed points that belong to no planned foot", "geometry", "", func(c *terms.Call, x *surveyed) int {
	terms.Drive(c, c.Job().AsBuilt.File)
	return len(x.on(c).built.Extra)
})

var _ = terms.Derive(SurveyedArray, "level_range", terms.Quantity(quantity.Length), "highest less lowest foot against the plane that lies nearest to all of them", "least squares", "", func(c *terms.Call, x *surveyed) float64 {
	terms.Drive(c, c.Job().AsBuilt.File)
	fit, err := x.on(c).built.Level()
	if err != nil {
		c.Err(err)
		return 0
	}
	return fit.Range
})

var _ = terms.Derive(SurveyedArray, "diagonal_difference", terms.Quantity(quantity.Length), "how much the difference between the diagonals over the four outermost feet departs from the planned one", "geometry", "", diagonalDifference)

var _ = terms.Derive(SurveyedRow, "straightness", terms.Quantity(quantity.Length), "largest distance of a foot from the straight line through the row", "C. M. Shakarji, Journal of Research of NIST 103(6), 1998 (total least squares)", "", func(c *terms.Call, x *surveyed) float64 {
	terms.Drive(c, c.Job().AsBuilt.File)
	return x.line(c).Fit.Largest
})

var _ = terms.Derive(SurveyedRow, "largest_span", terms.Quantity(quantity.Length), "largest distance between two feet next to each other, as built", "geometry", "", func(c *terms.Call, x *surveyed) float64 {
	built := carries.Of(c, x.array)
	terms.Drive(c, c.Job().AsBuilt.File)
	if c.Stop() {
		return 0
	}
	span, ok := built.spans[x.line(c).Line]
	if !ok {
		c.Fail("no two feet stand next to each other on %s", x.line(c).Line)
		return 0
	}
	return span
})

var _ = terms.Derive(SurveyedRow, "largest_cantilever", terms.Quantity(quantity.Length), "largest overhang past a foot, as built, with what the rail stands out past its last module", "geometry", "", func(c *terms.Call, x *surveyed) float64 {
	built := carries.Of(c, x.array)
	terms.Drive(c, c.Job().AsBuilt.File)
	if c.Stop() {
		return 0
	}
	over, ok := built.overs[x.line(c).Line]
	if !ok {
		c.Fail("no foot of %s carries anything", x.line(c).Line)
		return 0
	}
	return over + arrays.RailPast(c, x.array)
})

var _ = terms.Derive(SurveyedRow, "reading", terms.Quantity(quantity.Length), "what one reading of the survey is good to", "common practice", "", func(c *terms.Call, x *surveyed) float64 {
	return terms.Practice(c, "feet", "reading", "value")
})

var _ = terms.Derive(SurveyedFoot, "moved", terms.Quantity(quantity.Length), "distance of the foot from its mark", "geometry", "", func(c *terms.Call, x *surveyed) float64 {
	terms.Drive(c, c.Job().AsBuilt.File)
	return x.on(c).built.Matches[x.match].Moved
})

var _ = terms.Derive(SurveyedFoot, "framing_distance", terms.Quantity(quantity.Length), "distance of its worst fastener, where it stands, from the centre of the nearest framing member", "geometry", "", func(c *terms.Call, x *surveyed) float64 {
	terms.Drive(c, c.Job().AsBuilt.File)
	return arrays.FramingDistance(c, x.array, x.foot(c))
})

var _ = terms.Derive(SurveyedFoot, "rib_distance", terms.Quantity(quantity.Length), "distance of its worst fastener, where it stands, from the nearest rib crest or seam", "geometry", "", func(c *terms.Call, x *surveyed) float64 {
	terms.Drive(c, c.Job().AsBuilt.File)
	return arrays.RibDistance(c, x.array, x.foot(c))
})

var _ = terms.Derive(SurveyedFoot, "outer", terms.YesNo, "whether it is the first or the last planned foot of its line", "geometry", "", func(c *terms.Call, x *surveyed) bool {
	return x.on(c).outer[x.on(c).built.Matches[x.match].Planned]
})

var _ = terms.Derive(SurveyedFoot, "beyond_mark", terms.Quantity(quantity.Length), "how far its fasteners still stand on both sides of its mark; negative when all stand on one side", "geometry", "", func(c *terms.Call, x *surveyed) float64 {
	terms.Drive(c, c.Job().AsBuilt.File)
	screws := arrays.Screws(c, x.array, x.foot(c))
	if c.Stop() {
		return 0
	}
	return arrays.Settled(layout.Beyond(x.planned(c).At, screws, layout.AlongEave))
})

func (x *surveyed) planned(c *terms.Call) layout.Foot {
	return x.on(c).built.Planned[x.on(c).built.Matches[x.match].Planned]
}

// foot is the planned foot where the survey found it.
func (x *surveyed) foot(c *terms.Call) layout.Foot {
	f := x.planned(c)
	f.At = x.on(c).built.Survey[x.on(c).built.Matches[x.match].Surveyed].At
	return f
}

// diagonalDifference is the string-line check of the corners: both diagonals
// over the outermost feet of the lowest and highest line, against the plan.
func diagonalDifference(c *terms.Call, x *surveyed) float64 {
	terms.Drive(c, c.Job().AsBuilt.File)
	b := x.on(c).built
	found := map[int]layout.Point{}
	for _, m := range b.Matches {
		found[m.Planned] = b.Survey[m.Surveyed].At
	}
	var planned, real [4]layout.Point
	for i, f := range corners(b) {
		at, ok := found[f]
		if !ok {
			c.Fail("the corner foot %s was not found", b.Planned[f].Name)
			return 0
		}
		planned[i], real[i] = b.Planned[f].At, at
	}
	want, err := layout.Square(planned)
	if err != nil {
		c.Err(err)
		return 0
	}
	got, err := layout.Square(real)
	if err != nil {
		c.Err(err)
		return 0
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
