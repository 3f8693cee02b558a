package terms

import (
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

// defineFire adds what the rules of roof access ask of a building: which rule
// set it is under, and the ways and strips that a crew needs.
func defineFire() {
	derive("building", "access_waived", flag, "whether roof access rules are set aside: by a written decision of the fire official, or for a detached accessory structure that nobody lives in", "IFC 2021 1205.2 exceptions", "",
		func(c *Call, b *job.Building) any {
			// A decision that is not stated was not made: the rules then hold.
			if w := c.m.Job.Adoption.LocalFireWaiver; w.Known && w.Value != "" {
				c.Drive(w.At)
				return true
			}
			c.Drive(b.DetachedAccessory.At)
			return Get(c, b.DetachedAccessory)
		})
	derive("building", "dwelling_access", flag, "whether the roof access rules for dwellings hold", "IFC 2021 1205.2.1; IRC 2021 R324.6", "",
		func(c *Call, b *job.Building) any { return c.accessRules(b, true) })
	derive("building", "general_access", flag, "whether the roof access rules for buildings other than dwellings hold", "IFC 2021 1205.3", "",
		func(c *Call, b *job.Building) any { return c.accessRules(b, false) })
	derive("adoption", "dwelling_access_edition", text, "edition whose access rules a dwelling follows: the later of the adopted editions of the IRC and the IFC, which read alike from 2018 on", "IFC 2021 1205.2.1 exception 1", "",
		func(c *Call, a *job.Adoption) any {
			later := job.Text{}
			for _, e := range []job.Text{a.IRC, a.IFC} {
				if e.Known && (!later.Known || e.Value > later.Value) {
					later = e
				}
			}
			if !later.Known {
				Get(c, a.IRC)
				Get(c, a.IFC)
				return nil
			}
			c.Drive(later.At)
			return later.Value
		})

	derive("plane", "arrays", things("array"), "the arrays that lie on the plane", "the job", "",
		func(c *Call, p *job.Plane) any { return c.arraysOn(p) })
	derive("plane", "coverage", measured(quantity.Ratio), "share of the plane that is under modules, in plan view", "a stricter reading that some reviewers use", "",
		func(c *Call, p *job.Plane) any {
			cov, ok := c.coverage()
			if !ok {
				return nil
			}
			return cov.Planes[c.m.roof().index[p.Name.Value]]
		})
}

// accessRules tells whether the rules for dwellings, or for all others, hold.
// Each answer that settles it is taken before any is found missing.
func (c *Call) accessRules(b *job.Building, dwelling bool) any {
	if b.Dwelling.Known && b.Dwelling.Value != dwelling {
		c.Drive(b.Dwelling.At)
		return false
	}
	if waived := c.m.term(c.subject, "access_waived", c); waived.V == true {
		c.Drive(waived.At)
		return false
	}
	Get(c, b.Dwelling)
	Self[bool](c, "access_waived")
	c.Drive(b.Dwelling.At)
	return true
}

// arraysOn lists the arrays on a plane.
func (c *Call) arraysOn(p *job.Plane) []*Subject {
	out := []*Subject{}
	for i := range c.m.Job.Arrays {
		if a := &c.m.Job.Arrays[i]; a.Plane.Value == p.Name.Value {
			out = append(out, c.Subject("array", a))
		}
	}
	return out
}
