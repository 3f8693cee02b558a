package loads

import (
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
)

// loaded is an engineering code under an edition, or why it cannot be had.
type loaded[T any] struct {
	code T
	err  error
}

func codeOf[T any](c *Call, name string, edition job.Text, load func(string, *table.Set) (T, error)) T {
	e := Get(c, edition)
	var none T
	if c.Stop() {
		return none
	}
	l := shared(c.m, name, func() loaded[T] {
		code, err := load(e, c.m.Tables)
		return loaded[T]{code, err}
	})
	if l.err != nil {
		c.Err(l.err)
	}
	return l.code
}

func (c *Call) asce() *structural.ASCE7 {
	return codeOf(c, "ASCE 7", c.m.Job.Adoption.ASCE7, structural.NewASCE7)
}

func (c *Call) nds() *structural.NDS {
	return codeOf(c, "NDS", c.m.Job.Adoption.NDS, structural.NewNDS)
}

func (c *Call) aisi() *structural.AISI {
	return codeOf(c, "AISI S100", c.m.Job.Adoption.S100, structural.NewAISI)
}

// screens are the rules of thumb and simple routes, which have no edition.
func (c *Call) screens() *structural.Practice {
	l := shared(c.m, "structural practice", func() loaded[*structural.Practice] {
		p, err := structural.NewPractice(c.m.Tables)
		return loaded[*structural.Practice]{p, err}
	})
	if l.err != nil {
		c.Err(l.err)
	}
	return l.code
}

// velocityPressure computes qh from the site and the mean roof height.
func (c *Call) velocityPressure() structural.VelocityPressure {
	s, b := &c.m.Job.Site, &c.m.Job.Building
	speed, exposure, height := c.Q(s.WindSpeed), Get(c, s.Exposure), c.Q(b.MeanRoofHeight)
	kzt, elevation := Get(c, s.TopographicFactor), c.Q(s.Elevation)
	w := c.asce()
	if c.Stop() {
		return structural.VelocityPressure{}
	}
	v, err := w.VelocityPressure(speed, exposure, height, kzt, elevation)
	if err != nil {
		c.Err(err)
	}
	return v
}

// zoneWidth computes a for a roof of a slope. On low slopes it goes by the
// eave height, otherwise by the mean roof height.
func (c *Call) zoneWidth(slope float64) structural.ZoneWidth {
	b := &c.m.Job.Building
	width := c.Q(b.Width)
	w := c.asce()
	if c.Stop() {
		return structural.ZoneWidth{}
	}
	height := b.MeanRoofHeight
	if w.TakesEaveHeight(slope) {
		height = b.EaveHeight
	}
	h := c.Q(height)
	if c.Stop() {
		return structural.ZoneWidth{}
	}
	z, err := w.ZoneWidth(width, h)
	if err != nil {
		c.Err(err)
	}
	return z
}

// figure finds the coefficient figure for the roof over an array.
func (c *Call) figure(slope float64) *structural.Figure {
	b := &c.m.Job.Building
	shape, width, height := Get(c, b.RoofShape), c.Q(b.Width), c.Q(b.MeanRoofHeight)
	w := c.asce()
	if c.Stop() {
		return nil
	}
	if err := w.CheckHeight(height); err != nil {
		c.Err(err)
		return nil
	}
	f, err := w.Figure(structural.Roof(shape), slope, height/width)
	if err != nil {
		c.Err(err)
	}
	return f
}

// chainWork joins worked calculations one after another.
func chainWork(lines ...func(quantity.System) []string) func(quantity.System) []string {
	return func(sys quantity.System) (out []string) {
		for _, f := range lines {
			if f != nil {
				out = append(out, f(sys)...)
			}
		}
		return out
	}
}

// loadStandard is the line that names the edition of loads.
func (c *Call) loadStandard() func(quantity.System) []string {
	edition := c.m.Job.Adoption.ASCE7.Value
	return func(quantity.System) []string { return []string{"ASCE " + edition + "; a licensed engineer decides"} }
}

// take hands on what a shared analysis of an array found missing.
func (c *Call) take(needs []Need) bool {
	for _, n := range needs {
		if n.Key != "" {
			c.Missing(n.Key, n.At)
		} else {
			c.out.Needs = append(c.out.Needs, n)
		}
	}
	return !c.Stop()
}

// forces and pressures in the reader's units.
func show(sys quantity.System, si float64, d quantity.Dimension) string {
	return quantity.Of(si, d).Format(sys)
}
