package loads

import (
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
	"plumbrule/internal/terms/roofs"
)

// noCause is what a finding says where a stated value fits no usual error.
const noCause = "no usual cause fits"

// cause names the likely cause of a stated value that is off.
func cause(stated, computed float64, causes []structural.Cause) string {
	if name := structural.Explain(stated, computed, causes); name != "" {
		return "likely cause: " + name
	}
	return noCause
}

var _ = terms.Derive(statedKind, "qh_cause", terms.Word, "likely cause of a quoted velocity pressure that is off", "usual errors of filed calculations", "", func(c *terms.Call, s *job.Stated) string {
	qh, v := c.Q(s.Qh), velocityPressure(c)
	w := asce(c)
	if c.Stop() {
		return ""
	}
	return cause(qh, v.Q, w.QhCauses(v))
})

var _ = terms.Derive(submittalKind, "largest_uplift", terms.Quantity(quantity.Force), "largest net uplift of any foot, allowable level", "ASCE 7 29.4.4", "",
	func(c *terms.Call, j *job.Job) float64 { return overArrays(c, j, arrayLargestUplift, math.Max) })

var _ = terms.Derive(submittalKind, "least_uplift_capacity", terms.Quantity(quantity.Force), "least allowable uplift capacity of any foot", "NDS 12.2, AISI S100 J4.4, maker's test", "",
	func(c *terms.Call, j *job.Job) float64 { return overArrays(c, j, arrayUpliftCapacity, math.Min) })

var _ = terms.Derive(submittalKind, "zone_width", terms.Quantity(quantity.Length), "width a of the edge zones, the largest of the planes that carry arrays", "ASCE 7 Figure 30.3-1", "zone-width",
	func(c *terms.Call, j *job.Job) float64 {
		most := 0.0
		for i := range j.Arrays {
			p := arrays.PlaneOf(c, &j.Arrays[i])
			z := ZoneWidth(c, c.Q(p.Slope))
			if c.Stop() {
				return 0
			}
			if z.Edge > most {
				c.Explain(z.Work, z.Refs)
			}
			most = math.Max(most, z.Edge)
		}
		return most
	})

// edgeStrip is the deepest zone along edges of the planes that carry arrays, with
// what it is in words. Least is a where the strip is a multiple of it.
func edgeStrip(c *terms.Call, j *job.Job) (most, least float64, words string) {
	height := roofs.MeanRoofHeight.Of(c, &j.Building)
	for i := range j.Arrays {
		p := arrays.PlaneOf(c, &j.Arrays[i])
		if c.Stop() || terms.Peek(c, p.Ground) {
			continue
		}
		slope := c.Q(p.Slope)
		z := ZoneWidth(c, slope)
		f, _ := figureOrEnvelope(c, slope)
		if c.Stop() {
			return 0, 0, ""
		}
		if depth, what := f.EdgeStrip(z.Edge, height); depth > most {
			c.Explain(z.Work, append(z.Refs, f.Ref))
			most, least, words = depth, depth, what
			if f.StripsOfA() {
				least = z.Edge
			}
		}
	}
	if !c.Stop() && most == 0 {
		c.Fail("no array stands on the roof")
	}
	return most, least, words
}

var _ = terms.Derive(submittalKind, "edge_strip", terms.Quantity(quantity.Length), "depth of the wind zone along the edges of the roof by its shape, the largest of the planes that carry arrays", "ASCE 7 Figures 30.3-1, 30.3-2A and 30.3-5", "zone-width",
	func(c *terms.Call, j *job.Job) float64 {
		most, _, _ := edgeStrip(c, j)
		return most
	})

var _ = terms.Derive(submittalKind, "least_edge_strip", terms.Quantity(quantity.Length), "that depth, or the width a alone where the depth is a multiple of it: the least that a letter may mean", "ASCE 7 Figures 30.3-1, 30.3-2A and 30.3-5", "zone-width",
	func(c *terms.Call, j *job.Job) float64 {
		_, least, _ := edgeStrip(c, j)
		return least
	})

var _ = terms.Derive(submittalKind, "edge_strip_is", terms.Word, "what that depth is: a, a share of the height, or a multiple of a", "ASCE 7 Figures 30.3-1, 30.3-2A and 30.3-5", "", func(c *terms.Call, j *job.Job) string {
	_, _, words := edgeStrip(c, j)
	return words
})

var _ = terms.Derive(submittalKind, "dead_load", terms.Quantity(quantity.Pressure), "weight of the heaviest array per area of the slope", "datasheets", "",
	func(c *terms.Call, j *job.Job) float64 { return overArrays(c, j, arrayDeadLoad, math.Max) })

var _ = terms.Derive(statedKind, "uplift_due", terms.Quantity(quantity.Pressure), "uplift pressure of the foot with the largest net uplift, at the level that the letter quotes it at", "ASCE 7 29.4.4", "array-pressure", func(c *terms.Call, s *job.Stated) float64 {
	level := terms.Get(c, s.UpliftLevel)
	w, d := heaviestFoot(c)
	if c.Stop() {
		return 0
	}
	c.Explain(w.work(d, 0), w.refsOf(d))
	return atLevel(w, level) * -d.UpliftPressure
})

var _ = terms.Derive(statedKind, "uplift_cause", terms.Word, "likely cause of a quoted uplift pressure that is off", "usual errors of filed calculations", "", func(c *terms.Call, s *job.Stated) string {
	quoted, level := c.Q(s.Uplift), terms.Get(c, s.UpliftLevel)
	b := &c.Job().Building
	height, width := roofs.MeanRoofHeight.Of(c, b), roofs.Width.Of(c, b)
	w, d := heaviestFoot(c)
	if c.Stop() {
		return ""
	}
	p := atLevel(w, level) * -d.UpliftPressure
	return cause(quoted, p, upliftCauses(w, d, p, height/width))
})

var _ = terms.Derive(statedKind, "capacity_cause", terms.Word, "likely cause of a quoted capacity that is off", "usual errors of filed calculations", "", func(c *terms.Call, s *job.Stated) string {
	quoted := c.Q(s.AttachmentCapacity)
	for i := range c.Job().Arrays {
		f := holds.Of(c, &c.Job().Arrays[i])
		if c.Stop() {
			return ""
		}
		if f.kind != "lag" || !f.hasThread {
			continue
		}
		if n := nds(c); !c.Stop() {
			if name := structural.Explain(quoted, f.withdrawal.Allowable, n.WithdrawalCauses(f.withdrawal, f.thread)); name != "" {
				return "likely cause: " + name
			}
		}
	}
	return noCause
})

// overArrays picks a term over all arrays.
func overArrays(c *terms.Call, j *job.Job, term terms.TermOf[job.Array, float64], pick func(x, y float64) float64) float64 {
	if len(j.Arrays) == 0 {
		c.Fail("the job has no array")
		return 0
	}
	out := math.NaN()
	for i := range j.Arrays {
		v := term.Of(c, &j.Arrays[i])
		if i == 0 {
			out = v
		}
		out = pick(out, v)
	}
	if c.Stop() {
		return 0
	}
	return out
}

// heaviestFoot is the foot of any array with the largest net uplift: the one
// that a letter has to cover. A small foot at an end is under more pressure and
// carries less.
func heaviestFoot(c *terms.Call) (at *windState, most *structural.Demand) {
	for i := range c.Job().Arrays {
		w, ok := windOf(c, &c.Job().Arrays[i])
		if !ok {
			return nil, nil
		}
		if d := &w.demands[w.heaviest()]; most == nil || d.UpliftASD > most.UpliftASD {
			at, most = w, d
		}
	}
	if at == nil {
		c.Fail("the job has no array")
	}
	return at, most
}

// atLevel is the factor that brings a strength-level wind pressure to a level.
func atLevel(w *windState, level string) float64 {
	if level == "allowable" {
		return w.code.Combinations().WindASD
	}
	return 1
}

// upliftCauses lists the usual wrong pressures beside the computed one p of a
// foot.
func upliftCauses(w *windState, d *structural.Demand, p, heightOverWidth float64) []structural.Cause {
	asd := w.code.Combinations().WindASD
	causes := []structural.Cause{{Name: "a pressure at allowable level is quoted as strength level", Value: p * asd}, {Name: "a pressure at strength level is quoted as allowable level", Value: p / asd}}
	if w.tilted != nil {
		return causes
	}
	if d.EdgeFactor != 1 {
		causes = append(causes, structural.Cause{Name: "the edge factor of exposed panels is left out", Value: p / d.EdgeFactor})
	}
	kd, inside := w.code.Kd()
	causes = append(causes, structural.Cause{Name: "Kd is counted twice", Value: p * kd})
	if !inside {
		causes = append(causes, structural.Cause{Name: "Kd is left out", Value: p / kd})
	}
	for _, x := range w.code.CoefficientCauses(w.loads.Figure, d.Zone, d.Tributary, heightOverWidth) {
		causes = append(causes, structural.Cause{Name: x.Name, Value: p * x.Value / d.Coefficient})
	}
	for _, x := range w.code.EqualizationCauses(d.Tributary) {
		causes = append(causes, structural.Cause{Name: x.Name, Value: p * x.Value / d.Equalization})
	}
	return causes
}
