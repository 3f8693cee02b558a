package loads

import (
	"fmt"
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

// clampUplift is what the seam clamps of a foot hold by their maker's test, and
// the clips of the seams below them.
func clampUplift(c *terms.Call, a *job.Array, p *job.Plane, f *job.FastenerType, s *capacityState) []structural.Capacity {
	if suits.Of(c, a); c.Stop() {
		return nil
	}
	s.grip = byTest(c, "seam clamp by its maker's test", f, f.TestedUltimate, s.count, &s.upliftWork)
	s.code = "maker's test"
	return append([]structural.Capacity{s.grip}, roofHolds(c, a, s)...)
}

var _ = terms.Derive(arrayKind, "profile_tested", terms.YesNo, "whether its seam clamps were tested on the profile of the roof, by their names but for case, spaces and hyphens", "the job", "", func(c *terms.Call, a *job.Array) bool {
	f, ok := terms.Seek(c, fastenerTypeKind, a.Attachments.Fastener)
	if !ok {
		c.Missing(a.Attachments.Fastener.Key, a.Attachments.Fastener.At)
		return false
	}
	terms.Drive(c, f.TestedProfile)
	tested, profile := terms.Get(c, f.TestedProfile), terms.Get(c, arrays.PlaneOf(c, a).Covering.Profile)
	return !c.Stop() && structural.SameName(tested, profile)
})

// needsSeam fails a clamp on a covering without seams.
func needsSeam(c *terms.Call, p *job.Plane) {
	if kind := terms.Get(c, p.Covering.Kind); kind != "" && kind != "standing-seam" {
		c.Fail("a seam clamp holds on a standing seam, not on a covering of kind %s", kind)
	}
}

// byTest is a tested ultimate load of the clamps of a foot over the maker's safety
// factor.
func byTest(c *terms.Call, mode string, f *job.FastenerType, tested job.Quantity, count int, work *func(quantity.System) []string) structural.Capacity {
	ultimate, safety := c.Q(tested), terms.Get(c, f.SafetyFactor)
	if c.Stop() {
		return structural.Capacity{}
	}
	held, err := structural.Tested(mode, ultimate*float64(count), safety)
	if err != nil {
		c.Err(err)
	}
	*work = chainWork(*work, func(sys quantity.System) []string {
		return []string{fmt.Sprintf("tested ultimate %s x %d / %.2f = %s", show(sys, ultimate, quantity.Force), count, safety, show(sys, held.Allowable, quantity.Force))}
	})
	return held
}

// roofHolds is what the roof below a foot on a seam or on the sheet passes on: a
// clip, or a screw of the sheet, carries the feet within its reach along the rib.
// An engineer's calculation of the fastening follows the load that far by itself.
func roofHolds(c *terms.Call, a *job.Array, s *capacityState) []structural.Capacity {
	if len(settled(c, a, ofFastening)) > 0 {
		return nil
	}
	roof := roofPasses.Of(c, a)
	if c.Stop() {
		return nil
	}
	s.roof = roof.Capacity
	s.upliftWork = chainWork(s.upliftWork, roof.work)
	return []structural.Capacity{roof.Capacity}
}

// passed is what the roof below a foot hands on.
type passed struct {
	structural.Capacity
	work func(quantity.System) []string
}

var roofPasses = terms.Analyse(arrayKind, "what the roof below its feet hands on", func(c *terms.Call, a *job.Array) (roof passed) {
	p := arrays.PlaneOf(c, a)
	pitch, clip := c.Q(p.Covering.ClipPitch), c.Q(p.Covering.ClipHolds)
	ribs := onRibs(c, a)
	if c.Stop() {
		return roof
	}
	most := 0.0
	for _, feet := range ribs {
		share, err := structural.ClipShare(feet, pitch)
		if err != nil {
			c.Err(err)
		}
		most = math.Max(most, share)
	}
	mode := "the clips of the seams"
	if arrays.FixedTo.Of(c, a) == arrays.Sheet {
		mode = "the screws of the sheet itself"
	}
	roof.work = func(sys quantity.System) []string {
		return []string{fmt.Sprintf("%s, %s apart, carry up to %.2f feet each: %s / %.2f = %s a foot", mode, show(sys, pitch, quantity.Length), most, show(sys, clip, quantity.Force), most, show(sys, clip/most, quantity.Force))}
	}
	roof.Capacity = structural.Capacity{Mode: mode, Allowable: clip / most}
	return roof
})

// footOnRib is a foot by its array.
type footOnRib struct {
	array *job.Array
	i     int
	y     float64
}

// feetOnRibs gathers the feet on the ribs or seams of the plane of an array, which
// arrays share that are fixed to the same thing.
var feetOnRibs = terms.Analyse(arrayKind, "feet by rib", func(c *terms.Call, a *job.Array) map[int][]footOnRib {
	out := map[int][]footOnRib{}
	p, fixed := arrays.PlaneOf(c, a), arrays.FixedTo.Of(c, a)
	for k := range c.Job().Arrays {
		other := &c.Job().Arrays[k]
		if other != a && (terms.Peek(c, other.Plane) != terms.Peek(c, a.Plane) || arrays.FixedTo.Of(c, other) != fixed) {
			continue
		}
		l := arrays.Feet.Of(c, other)
		if c.Stop() {
			return nil
		}
		for i, foot := range l.Feet {
			seam := arrays.SeamOf(c, p, foot)
			out[seam] = append(out[seam], footOnRib{other, i, foot.At.Y})
		}
	}
	return out
})

// onRibs lists the places of those feet along their ribs.
func onRibs(c *terms.Call, a *job.Array) [][]float64 {
	var out [][]float64
	for _, feet := range feetOnRibs.Of(c, a) {
		var places []float64
		for _, f := range feet {
			places = append(places, f.y)
		}
		out = append(out, places)
	}
	return out
}

var _ = terms.Derive(arrayKind, "panel_along", terms.Quantity(quantity.Force), "largest sum of the loads along the roof on the clamps of one seam, allowable level: what its fixed place carries where panels float", "statics; ASCE 7 2.4", "", func(c *terms.Call, a *job.Array) float64 {
	ribs := feetOnRibs.Of(c, a)
	if c.Stop() {
		return 0
	}
	most := 0.0
	for _, feet := range ribs {
		sum := 0.0
		for _, f := range feet {
			g := downOn.Of(c, f.array)
			if c.Stop() {
				return 0
			}
			load, _ := downslope(c, f.array, &g.demands[f.i])
			sum += load
		}
		most = math.Max(most, sum)
	}
	return most
})

// ofClamps declares a safety factor of seam clamps.
func ofClamps(name, meaning string, of func(least, usual float64) float64) terms.TermOf[job.Array, float64] {
	return terms.Derive(arrayKind, name, terms.PlainNumber, meaning, "AISI S100 K2.1.1; common practice", "", func(c *terms.Call, _ *job.Array) float64 {
		code := aisi(c)
		if c.Stop() {
			return 0
		}
		least, usual, refs := code.ClampSafety()
		c.Cite(refs...)
		return of(least, usual)
	})
}

var _ = ofClamps("clamp_safety", "least safety factor that a test of a seam clamp can lead to", func(least, _ float64) float64 { return least })

var _ = ofClamps("usual_clamp_safety", "safety factor of seam clamps that is commonly asked for", func(_, usual float64) float64 { return usual })
