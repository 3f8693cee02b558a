package loads

import (
	"math"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
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

// defineStated compares values that a letter in the submittal quotes with the
// computed ones.
func defineStated() {
	gives := func(name, meaning string, value func(s *job.Stated) bool) {
		derive("stated", name, flag, meaning, "the job", "", func(_ *Call, s *job.Stated) any { return value(s) })
	}
	gives("gives_qh", "whether a velocity pressure is quoted", func(s *job.Stated) bool { return s.Qh.Known })
	gives("gives_uplift", "whether an uplift pressure is quoted", func(s *job.Stated) bool { return s.Uplift.Known })
	gives("gives_attachment_uplift", "whether the uplift of an attachment is quoted", func(s *job.Stated) bool { return s.AttachmentUplift.Known })
	gives("gives_capacity", "whether the uplift capacity of an attachment is quoted", func(s *job.Stated) bool { return s.AttachmentCapacity.Known })
	gives("gives_snow_factor", "whether a load factor of snow is quoted", func(s *job.Stated) bool { return s.SnowFactor.Known })
	gives("gives_snow_importance", "whether a snow importance factor is quoted", func(s *job.Stated) bool { return s.Importance.Known })
	derive("fastener_type", "gives_withdrawal", flag, "whether the submittal states its allowable withdrawal", "the job", "", func(_ *Call, f *job.FastenerType) any { return f.Allowable.Known })

	derive("stated", "qh_cause", text, "likely cause of a quoted velocity pressure that is off", "usual errors of filed calculations", "", func(c *Call, s *job.Stated) any {
		qh, v := c.Q(s.Qh), c.velocityPressure()
		w := c.asce()
		if c.Stop() {
			return nil
		}
		return cause(qh, v.Q, w.QhCauses(v))
	})

	derive("submittal", "largest_uplift", measured(quantity.Force), "largest net uplift of any foot, allowable level", "ASCE 7 29.4.4", "",
		func(c *Call, j *job.Job) any { return c.overArrays(j, "largest_uplift", math.Max) })
	derive("submittal", "least_uplift_capacity", measured(quantity.Force), "least allowable uplift capacity of any foot", "NDS 12.2, AISI S100 J4.4, maker's test", "",
		func(c *Call, j *job.Job) any { return c.overArrays(j, "uplift_capacity", math.Min) })
	derive("submittal", "zone_width", measured(quantity.Length), "width a of the edge zones, the largest of the planes that carry arrays", "ASCE 7 Figure 30.3-1", "zone-width",
		func(c *Call, j *job.Job) any {
			most := 0.0
			for i := range j.Arrays {
				p := c.planeOf(&j.Arrays[i])
				z := c.zoneWidth(c.Q(p.Slope))
				if c.Stop() {
					return nil
				}
				if z.Edge > most {
					c.Explain(z.Work, z.Refs)
				}
				most = math.Max(most, z.Edge)
			}
			return most
		})
	derive("submittal", "dead_load", measured(quantity.Pressure), "weight of the heaviest array per area of the slope", "datasheets", "",
		func(c *Call, j *job.Job) any { return c.overArrays(j, "dead_load", math.Max) })

	derive("stated", "uplift_due", measured(quantity.Pressure), "largest uplift pressure of any foot, at the level that the letter quotes it at", "ASCE 7 29.4.4", "array-pressure", func(c *Call, s *job.Stated) any {
		level := Get(c, s.UpliftLevel)
		w, i := c.worstFoot()
		if c.Stop() {
			return nil
		}
		c.Explain(w.work(i), w.refsOf(i))
		return atLevel(w, level) * -w.demands[i].UpliftPressure
	})
	derive("stated", "uplift_cause", text, "likely cause of a quoted uplift pressure that is off", "usual errors of filed calculations", "", func(c *Call, s *job.Stated) any {
		quoted, level := c.Q(s.Uplift), Get(c, s.UpliftLevel)
		b := &c.m.Job.Building
		height, width := c.Q(b.MeanRoofHeight), c.Q(b.Width)
		w, i := c.worstFoot()
		if c.Stop() {
			return nil
		}
		p := atLevel(w, level) * -w.demands[i].UpliftPressure
		return cause(quoted, p, upliftCauses(w, &w.demands[i], p, height/width))
	})
	derive("stated", "capacity_cause", text, "likely cause of a quoted capacity that is off", "usual errors of filed calculations", "", func(c *Call, s *job.Stated) any {
		quoted := c.Q(s.AttachmentCapacity)
		for i := range c.m.Job.Arrays {
			f := c.m.capacity(&c.m.Job.Arrays[i])
			if !c.take(f.upliftNeeds) {
				return nil
			}
			if f.kind != "lag" || !f.hasThread {
				continue
			}
			if n := c.nds(); !c.Stop() {
				if name := structural.Explain(quoted, f.withdrawal.Allowable, n.WithdrawalCauses(f.withdrawal, f.thread)); name != "" {
					return "likely cause: " + name
				}
			}
		}
		return noCause
	})
}

// overArrays picks a term over all arrays.
func (c *Call) overArrays(j *job.Job, term string, pick func(x, y float64) float64) any {
	if len(j.Arrays) == 0 {
		return c.Fail("the job has no array")
	}
	out := math.NaN()
	for i := range j.Arrays {
		v := Of[float64](c, c.Subject("array", &j.Arrays[i]), term)
		if i == 0 {
			out = v
		}
		out = pick(out, v)
	}
	if c.Stop() {
		return nil
	}
	return out
}

// worstFoot is the foot under the largest uplift pressure of any array.
func (c *Call) worstFoot() (*windState, int) {
	var at *windState
	most := 0
	for i := range c.m.Job.Arrays {
		w, ok := c.windOf(&c.m.Job.Arrays[i])
		if !ok {
			return nil, 0
		}
		k := w.worst(func(d *structural.Demand) float64 { return -d.UpliftPressure })
		if at == nil || w.demands[k].UpliftPressure < at.demands[most].UpliftPressure {
			at, most = w, k
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
