// Package access is the vocabulary of roof access: which rules hold, ways up and
// over the roof, clear strips and sections. Package roofplan computes it.
package access

import (
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

var buildingAccessWaived = terms.Derive(buildingKind, "access_waived", terms.YesNo, "whether roof access rules are set aside: by a written decision of the fire official, or for a detached accessory structure that nobody lives in, as its group and its openings agree", "IFC 2021 1205.2 exceptions", "",
	func(c *terms.Call, b *job.Building) bool {
		if w := c.Job().Adoption.LocalFireWaiver; decided(c, w) {
			terms.Drive(c, w)
			return true
		}
		terms.Drive(c, b.DetachedAccessory)
		if !arrays.DetachedAccessory.Of(c, b) {
			return false
		}
		if conflict := accessoryConflict(c, b); conflict != "" {
			c.Need(terms.Need{Why: conflict, At: b.DetachedAccessory.At})
		}
		return true
	})

var accessConflict = terms.Derive(buildingKind, "access_conflict", terms.Word, "what disagrees between building.dwelling and building.occupancy, on which the choice of the roof access rules hangs; none where nothing does", "IBC chapter 3", "",
	func(c *terms.Call, b *job.Building) string {
		terms.Drive(c, b.Dwelling)
		return orNone(dwellingConflict(c, b))
	})

var _ = terms.Derive(buildingKind, "accessory_conflict", terms.Word, "what speaks against a detached accessory structure that nobody lives in; none where nothing does", "IFC 2021 1205.2 exception 1", "",
	func(c *terms.Call, b *job.Building) string {
		terms.Drive(c, b.DetachedAccessory)
		return orNone(accessoryConflict(c, b))
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

var _ = terms.Derive(adoptionKind, "fire_code", terms.Word, "fire code that the authority has adopted: IFC or NFPA 1", "the job", "",
	func(c *terms.Call, a *job.Adoption) string {
		ifc, nfpa := terms.Stated(c, a.IFC), terms.Stated(c, a.NFPA1)
		switch {
		case ifc && nfpa:
			c.Need(terms.Need{Why: "adoption.ifc and adoption.nfpa1 are both stated, and their roof access rules differ; keep the one that is the fire code", At: a.NFPA1.At})
			return ""
		case nfpa:
			terms.Drive(c, a.NFPA1)
			return "NFPA 1"
		}
		terms.Drive(c, a.IFC)
		terms.Get(c, a.IFC)
		return "IFC"
	})

// decided reports a written decision. One that is not stated was not made: the
// rules then hold.
func decided(c *terms.Call, number job.Text) bool {
	return terms.Stated(c, number) && terms.Peek(c, number) != ""
}

// accessRules tells whether the rules for dwellings, or for all others, hold.
// Each answer that settles it is taken before any is found missing. Where the
// group of occupancy says another thing than building.dwelling, neither set
// falls away unasked.
func accessRules(c *terms.Call, b *job.Building, forDwellings bool) bool {
	accepted := decided(c, c.Job().Adoption.DwellingRules)
	terms.Drive(c, b.Dwelling)
	if accepted && !forDwellings {
		return false
	}
	if waived, _ := buildingAccessWaived.Try(c, b); waived {
		return false
	}
	if !accepted {
		if conflict := accessConflict.Of(c, b); !c.Stop() && conflict != "none" {
			c.Need(terms.Need{Why: conflict, At: b.Dwelling.At})
		}
		if c.Stop() || terms.Get(c, b.Dwelling) != forDwellings {
			return false
		}
	}
	buildingAccessWaived.Of(c, b)
	return true
}

// dwellingConflict says how the group of occupancy contradicts building.dwelling;
// "" where it does not. A group in words of the job's own contradicts nothing.
func dwellingConflict(c *terms.Call, b *job.Building) string {
	dwelling := terms.Get(c, b.Dwelling)
	known, in := group(c, b, "dwelling")
	if c.Stop() || !known || in == dwelling {
		return ""
	}
	said := "no dwelling"
	if dwelling {
		said = "a dwelling"
	}
	return "the building is said to be " + said + ", and its occupancy group is " + terms.Peek(c, b.Occupancy) + ": whether the roof access rules for dwellings or those for other buildings hold hangs on which is right"
}

// accessoryConflict says what speaks against a detached accessory structure
// that nobody lives in; "" where nothing does.
func accessoryConflict(c *terms.Call, b *job.Building) string {
	const so = "the building is said to be a detached accessory structure, and "
	const hangs = ": whether any roof access rule holds hangs on which is right"
	dwelling := terms.Get(c, b.Dwelling)
	_, accessory := group(c, b, "accessory")
	switch {
	case dwelling:
		return so + "a dwelling too" + hangs
	case terms.Stated(c, b.Occupancy) && !accessory:
		return so + "its occupancy group is " + terms.Peek(c, b.Occupancy) + hangs
	}
	for i := range c.Job().Obstructions {
		if o := &c.Job().Obstructions[i]; terms.Peek(c, o.Kind) == "escape-opening" {
			return so + "obstruction " + o.Name.Value + " is an escape opening, so that somebody sleeps there" + hangs
		}
	}
	return ""
}

// group looks the group of occupancy up; known is false where the table does
// not have it.
func group(c *terms.Call, b *job.Building, column string) (known, yes bool) {
	name := strings.ToUpper(strings.TrimSpace(terms.Get(c, b.Occupancy)))
	t, err := c.Tables().Get("Practice", "common", "occupancy")
	if err != nil {
		c.Err(err)
		return false, false
	}
	v, known := t.Text(name, column)
	return known, v == "yes"
}

func orNone(conflict string) string {
	if conflict == "" {
		return "none"
	}
	return conflict
}
