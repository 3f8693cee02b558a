// Package access is the vocabulary of roof access: which rules hold, ways up and
// over the roof, clear strips and sections. Package roofplan computes it.
package access

import (
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

var buildingAccessWaived = terms.Derive(buildingKind, "access_waived", terms.YesNo, "whether roof access rules are set aside: by a written decision of the fire official, or for a detached accessory structure that nobody lives in", "IFC 2021 1205.2 exceptions", "",
	func(c *terms.Call, b *job.Building) bool {
		if w := c.Job().Adoption.LocalFireWaiver; decided(c, w) {
			terms.Drive(c, w)
			return true
		}
		terms.Drive(c, b.DetachedAccessory)
		return terms.Get(c, b.DetachedAccessory)
	})

var _ = terms.Derive(buildingKind, "dwelling_access", terms.YesNo, "whether the roof access rules for dwellings hold: for a dwelling, or for another building by written decision of the fire official", "IFC 2021 1205.2.1 and 1205.3 exception 1; IRC 2021 R324.6", "",
	func(c *terms.Call, b *job.Building) bool { return accessRules(c, b, true) })

var _ = terms.Derive(buildingKind, "general_access", terms.YesNo, "whether the roof access rules for buildings other than dwellings hold", "IFC 2021 1205.3", "",
	func(c *terms.Call, b *job.Building) bool { return accessRules(c, b, false) })

var _ = terms.Derive(adoptionKind, "has_fire_waiver", terms.YesNo, "whether a written decision of the fire official sets roof access rules aside, or has a building follow those for dwellings", "the job", "",
	func(c *terms.Call, a *job.Adoption) bool {
		return decided(c, a.LocalFireWaiver) || decided(c, a.DwellingRules)
	})

var _ = terms.Derive(adoptionKind, "fire_decision_in_submittal", terms.YesNo, "whether each written decision of the fire official that the job relies on is among its papers, by its number", "the job", "",
	func(c *terms.Call, a *job.Adoption) bool {
		for _, d := range []job.Text{a.LocalFireWaiver, a.DwellingRules} {
			if decided(c, d) && !slices.ContainsFunc(c.Job().Documents, func(p job.Document) bool { return p.Name.Value == terms.Peek(c, d) }) {
				terms.Drive(c, d)
				return false
			}
		}
		return true
	})

var _ = terms.Derive(adoptionKind, "dwelling_access_edition", terms.Word, "edition whose access rules a dwelling follows: the later of the adopted editions of the IRC and the IFC, which read alike from 2018 on", "IFC 2021 1205.2.1 exception 1", "",
	func(c *terms.Call, a *job.Adoption) string {
		later := a.IRC
		if terms.Stated(c, a.IFC) && (!terms.Stated(c, a.IRC) || terms.Peek(c, a.IFC) > terms.Peek(c, a.IRC)) {
			later = a.IFC
		}
		if !terms.Stated(c, later) {
			terms.Get(c, a.IFC)
		}
		terms.Drive(c, later)
		return terms.Get(c, later)
	})

// decided reports a written decision. One that is not stated was not made: the
// rules then hold.
func decided(c *terms.Call, number job.Text) bool {
	return terms.Stated(c, number) && terms.Peek(c, number) != ""
}

// accessRules tells whether the rules for dwellings, or for all others, hold.
// Each answer that settles it is taken before any is found missing.
func accessRules(c *terms.Call, b *job.Building, forDwellings bool) bool {
	accepted := decided(c, c.Job().Adoption.DwellingRules)
	terms.Drive(c, b.Dwelling)
	if accepted && !forDwellings || !accepted && terms.Stated(c, b.Dwelling) && terms.Peek(c, b.Dwelling) != forDwellings {
		return false
	}
	if waived, _ := buildingAccessWaived.Try(c, b); waived {
		return false
	}
	if !accepted {
		terms.Get(c, b.Dwelling)
	}
	buildingAccessWaived.Of(c, b)
	return true
}
