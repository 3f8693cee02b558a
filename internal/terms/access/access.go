package access

import (
	"slices"

	"plumbrule/internal/job"
)

// defineFire adds what the rules of roof access ask of a building: which rule
// set it is under, the ways that a crew needs up and over the roof, and the
// sections that ways part an array into.
func defineFire() {
	defineAccessRules()
	defineWays()
	defineStrips()
	defineOpenings()
	defineSections()
}

func defineAccessRules() {
	derive("building", "access_waived", flag, "whether roof access rules are set aside: by a written decision of the fire official, or for a detached accessory structure that nobody lives in", "IFC 2021 1205.2 exceptions", "",
		func(c *Call, b *job.Building) any {
			if w := c.m.Job.Adoption.LocalFireWaiver; decided(w) {
				c.Drive(w.At)
				return true
			}
			c.Drive(b.DetachedAccessory.At)
			return Get(c, b.DetachedAccessory)
		})
	derive("building", "dwelling_access", flag, "whether the roof access rules for dwellings hold: for a dwelling, or for another building by written decision of the fire official", "IFC 2021 1205.2.1 and 1205.3 exception 1; IRC 2021 R324.6", "",
		func(c *Call, b *job.Building) any { return c.accessRules(b, true) })
	derive("building", "general_access", flag, "whether the roof access rules for buildings other than dwellings hold", "IFC 2021 1205.3", "",
		func(c *Call, b *job.Building) any { return c.accessRules(b, false) })
	derive("adoption", "has_fire_waiver", flag, "whether a written decision of the fire official sets roof access rules aside, or has a building follow those for dwellings", "the job", "",
		func(c *Call, a *job.Adoption) any { return decided(a.LocalFireWaiver) || decided(a.DwellingRules) })
	derive("adoption", "fire_decision_in_submittal", flag, "whether each written decision of the fire official that the job relies on is among its papers, by its number", "the job", "",
		func(c *Call, a *job.Adoption) any {
			for _, d := range []job.Text{a.LocalFireWaiver, a.DwellingRules} {
				if decided(d) && !slices.ContainsFunc(c.m.Job.Documents, func(p job.Document) bool { return p.Name.Value == d.Value }) {
					c.Drive(d.At)
					return false
				}
			}
			return true
		})
	derive("adoption", "has_irc_and_ifc", flag, "whether both the IRC and the IFC are adopted", "the job", "",
		func(c *Call, a *job.Adoption) any { return a.IRC.Known && a.IFC.Known })
	derive("array", "module_listing_in_submittal", flag, "whether a listing of its module type is among the papers", "the job", "",
		func(c *Call, a *job.Array) any {
			c.Drive(a.BuildingIntegrated.At)
			module := Get(c, a.Module)
			return slices.ContainsFunc(c.m.Job.Documents, func(d job.Document) bool { return d.Kind.Value == "listing" && d.For.Value == module })
		})
	derive("submittal", "access_point_drawn", flag, "whether a drawing shows the roof access point", "the job", "",
		func(c *Call, j *job.Job) any {
			return slices.ContainsFunc(j.Documents, func(d job.Document) bool { return slices.Contains(d.Shows.Value, "roof access point") })
		})
	derive("submittal", "elevations_drawn", flag, "whether a drawing shows elevations", "the job", "",
		func(c *Call, j *job.Job) any {
			return slices.ContainsFunc(j.Documents, func(d job.Document) bool { return slices.Contains(d.Shows.Value, "elevations") })
		})
	derive("adoption", "dwelling_access_edition", text, "edition whose access rules a dwelling follows: the later of the adopted editions of the IRC and the IFC, which read alike from 2018 on", "IFC 2021 1205.2.1 exception 1", "",
		func(c *Call, a *job.Adoption) any {
			later := a.IRC
			if a.IFC.Known && (!a.IRC.Known || a.IFC.Value > a.IRC.Value) {
				later = a.IFC
			}
			if !later.Known {
				Get(c, a.IFC)
			}
			c.Drive(later.At)
			return Get(c, later)
		})
}

// decided reports a written decision. One that is not stated was not made: the
// rules then hold.
func decided(number job.Text) bool { return number.Known && number.Value != "" }

// accessRules tells whether the rules for dwellings, or for all others, hold.
// Each answer that settles it is taken before any is found missing.
func (c *Call) accessRules(b *job.Building, forDwellings bool) any {
	accepted := decided(c.m.Job.Adoption.DwellingRules)
	c.Drive(b.Dwelling.At)
	if accepted && !forDwellings || !accepted && b.Dwelling.Known && b.Dwelling.Value != forDwellings {
		return false
	}
	waived := c.m.term(c.subject, "access_waived", c)
	if waived.V == true {
		return false
	}
	if !accepted {
		Get(c, b.Dwelling)
	}
	Self[bool](c, "access_waived")
	return true
}
