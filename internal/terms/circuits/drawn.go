package circuits

import (
	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
	"plumbrule/internal/wiring"
)

// What drawings and calculations show of the electrical system as it could be
// made out, whether or not a check asks for it.

// Wiring is the electrical system of a job as far as it could be traced.
func Wiring(m *terms.Model) *wiring.Trace {
	s, _ := traced.Known(m, m.Job)
	return s.Trace
}

// Wires are the conductors of one set of a circuit beside its equipment ground.
type Wires struct {
	Count  int
	Listed bool // counted from what its raceway is said to hold, and not from its system
}

var ownWires = terms.Analyse(circuitKind, "its conductors", func(c *terms.Call, x *job.Circuit) *Wires {
	if terms.Stated(c, x.Contents) && len(besides(c, x)) == 0 {
		n := besideGround(c, x, contents(c, x))
		if sets := terms.Get(c, x.Sets); sets > 1 && !terms.Get(c, x.SetsApart) && n%sets == 0 {
			n /= sets
		}
		if !c.Stop() && n > 0 {
			return &Wires{n, true}
		}
	}
	lines, _ := wires(c, x)
	if c.Stop() {
		return nil
	}
	return &Wires{Count: lines}
})

// WiresOf counts the conductors of a circuit: as listed where it is alone in its
// raceway, else those that its system needs at least. It is nil where neither is
// known.
func WiresOf(m *terms.Model, x *job.Circuit) *Wires {
	v, needs := ownWires.Known(m, x)
	if len(needs) > 0 {
		return nil
	}
	return v
}

// BusbarHeld is one busbar that the sources reach, held against the option
// relied on.
type BusbarHeld struct {
	Name string // of its panel, or service
	electrical.Busbar
}

var busbarHeld = terms.Analyse(Busbar, "busbar by its option", func(c *terms.Call, b *busMark) *BusbarHeld {
	held, ok := b.hold(c)
	if !ok || c.Stop() {
		return nil
	}
	return &BusbarHeld{b.name(), held}
})

// BusbarsHeld are the busbars of a job that could be held against their options,
// in the order of the chain from the interconnection on.
func BusbarsHeld(m *terms.Model) []BusbarHeld {
	var out []BusbarHeld
	ch, _ := panelsInChain.Known(m, m.Job)
	if ch == nil {
		return nil
	}
	for _, b := range ch.buses {
		if held, needs := busbarHeld.Known(m, b); len(needs) == 0 && held != nil {
			out = append(out, *held)
		}
	}
	return out
}
