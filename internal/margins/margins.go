// Package margins finds what a reviewed job can stand: which checks are nearest to
// their limits, and how far a value of the place or of the design may move before an
// outcome turns. Every value that it tells was reviewed.
package margins

import (
	"cmp"
	"slices"
	"strconv"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/parallel"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
)

// Nearest lists, of each check that is met, the subject nearest to its limit; the
// checks with the highest utilisation first.
func Nearest(r *review.Review) []*review.Outcome {
	worst := map[string]*review.Outcome{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if o.Result != review.Met || o.Utilisation == nil {
			continue
		}
		if was := worst[o.Check.ID]; was == nil || *o.Utilisation > *was.Utilisation {
			worst[o.Check.ID] = o
		}
	}
	var out []*review.Outcome
	for _, o := range worst {
		out = append(out, o)
	}
	slices.SortFunc(out, func(a, b *review.Outcome) int {
		return cmp.Or(cmp.Compare(*b.Utilisation, *a.Utilisation), cmp.Compare(a.Check.ID, b.Check.ID))
	})
	return out
}

// Value is a value that the job states and that is moved.
type Value struct {
	Key string
	Doc string             // what it is, as the model has it
	Dim quantity.Dimension // of a quantity
	Now float64            // in the base unit

	Count bool // it is a whole number
	// Down and Up are how far it may become less and more. Where it makes no sense to
	// move it one way, that is nil.
	Down, Up *Reach
}

// Reach is what turns where a value moves one way.
type Reach struct {
	Step  float64 // between the values that were tried first, in the base unit
	End   float64 // the last value tried
	Turns []Turn  // in the order in which they turn
	// Refused is why the job cannot be read with the value after End; "" where it can.
	Refused string
	Tried   int  // reviews
	Bounded bool // more checks turn than are told
}

// Turn is the first value found at which outcomes of a check are outstanding that are
// not so now.
type Turn struct {
	Inside, Outside float64         // values next to each other, that before it and it
	Changes         []review.Change // of one check, at Outside
}

// Check is the check that turns.
func (t Turn) Check() *codebook.Check { return t.Changes[0].After.Check }

// moved declares what is moved: keys without the names of things, the step in the base
// unit, and the steps down and up. A step is small enough that no band of a table of
// the codes is stepped over: those of temperature are 5 K wide, those of standard
// ratings at least 5 A.
type moved struct {
	key      string
	step     float64 // 0: a share of the value, see share
	share    float64
	down, up int // steps; 0: not that way
}

var places = []moved{
	{key: "site.record_low", step: 1, down: 40},
	{key: "site.design_high", step: 1, up: 30},
	{key: "site.wind_speed", share: 0.02, up: 50},
	{key: "site.ground_snow", share: 0.04, up: 50},
	{key: "site.fault_current", share: 0.05, up: 60},
}

var parts = []moved{
	{key: "attachments.spacing", step: 0.0254, up: 48},
	{key: "stand_off", step: 0.00635, down: 24},
	{key: "modules", step: 1, down: 12, up: 12},
}

// fine is into how many parts the last step is halved.
const fine = 32

// Values moves the values of the place, and of the design the spacing and stand-off of
// the feet and the modules in a string, each by itself. A value that the job leaves
// out is not moved. The job is reviewed some hundred times.
func Values(s *review.Session) []*Value {
	j := s.Review().Job
	type task struct {
		value *Value
		moved moved
	}
	var tasks []task
	add := func(key string, dim quantity.Dimension, now float64, m moved, count bool) {
		slot, ok := j.Slot(key)
		if !ok {
			return
		}
		tasks = append(tasks, task{&Value{Key: key, Doc: slot.Field.Doc, Dim: dim, Now: now, Count: count}, m})
	}
	quantities := func(m moved, g job.Quantity) {
		if g.Known {
			add(g.Key, g.Value.Dim, g.Value.SI, m, false)
		}
	}
	for i, g := range []job.Quantity{j.Site.RecordLow, j.Site.DesignHigh, j.Site.WindSpeed, j.Site.GroundSnow, j.Site.FaultCurrent} {
		quantities(places[i], g)
	}
	for i := range j.Arrays {
		quantities(parts[0], j.Arrays[i].Attachments.Spacing)
		quantities(parts[1], j.Arrays[i].StandOff)
	}
	for i := range j.Strings {
		if g := j.Strings[i].Modules; g.Known {
			add(g.Key, 0, float64(g.Value), parts[2], true)
		}
	}
	parallel.Each(2*len(tasks), func(i int) {
		t := tasks[i/2]
		m, v := t.moved, t.value
		step := m.step
		if step == 0 {
			step = m.share * v.Now
		}
		switch {
		case step == 0:
		case i%2 == 0 && m.down > 0:
			v.Down = reach(s, v, -step, m.down)
		case i%2 == 1 && m.up > 0:
			v.Up = reach(s, v, step, m.up)
		}
	})
	var out []*Value
	for _, t := range tasks {
		if t.value.Down != nil || t.value.Up != nil {
			out = append(out, t.value)
		}
	}
	return out
}

// mostTurns are told of one way.
const mostTurns = 12

// reach moves a value step by step to the end, and then halves the step in which each
// check turned first.
func reach(s *review.Session, v *Value, step float64, steps int) *Reach {
	out := &Reach{Step: max(step, -step), End: v.Now}
	// turned reviews the job with a value; ok is false where it cannot be read.
	turned := func(x float64) (by map[string][]review.Change, order []string, ok bool) {
		out.Tried++
		next, err := s.With(job.Edits{Set: map[string]any{v.Key: v.written(x)}})
		if err != nil {
			out.Refused = err.Error()
			return nil, nil, false
		}
		by = map[string][]review.Change{}
		for _, c := range review.Compare(s.Review(), next.Review()).New {
			id := c.After.Check.ID
			if by[id] == nil {
				order = append(order, id)
			}
			by[id] = append(by[id], c)
		}
		return by, order, true
	}
	known := map[string]bool{}
	for n := 1; n <= steps; n++ {
		x := v.Now + float64(n)*step
		by, order, ok := turned(x)
		if !ok {
			break
		}
		for _, id := range order {
			if !known[id] {
				known[id] = true
				out.Turns = append(out.Turns, Turn{out.End, x, by[id]})
			}
		}
		out.End = x
	}
	if len(out.Turns) > mostTurns {
		out.Turns, out.Bounded = out.Turns[:mostTurns], true
	}
	refused := out.Refused
	for i := range out.Turns {
		t := &out.Turns[i]
		for part := 1.0 / 2; !v.Count && part >= 1.0/fine; part /= 2 {
			x := (t.Inside + t.Outside) / 2
			if by, _, ok := turned(x); ok && len(by[t.Check().ID]) > 0 {
				t.Outside, t.Changes = x, by[t.Check().ID]
			} else {
				t.Inside = x
			}
		}
	}
	out.Refused = refused
	slices.SortStableFunc(out.Turns, func(a, b Turn) int {
		return cmp.Compare((a.Outside-v.Now)/step, (b.Outside-v.Now)/step)
	})
	return out
}

// written is a value as a job states it.
func (v *Value) written(x float64) any {
	if v.Count {
		return int(x)
	}
	return strconv.FormatFloat(x, 'g', 12, 64) + " " + v.Dim.BaseUnit()
}

// Print gives a value of it the way a report shows it.
func (v *Value) Print(x float64, sys quantity.System) string {
	if v.Count {
		return strconv.Itoa(int(x))
	}
	return quantity.Value{SI: x, Dim: v.Dim}.Format(sys)
}
