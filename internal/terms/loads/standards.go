package loads

import (
	"fmt"
	"slices"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

// The plans of a dwelling under the residential code name that code and seldom
// the standards behind it. Where the job names none, the edition is the one that
// the adopted residential code refers to; what the job states always holds. The
// standard of a material counts where the job has fasteners for it.
var (
	loadEdition  = referenced("asce7", "ASCE 7")
	woodEdition  = referenced("nds", "NDS", "lag", "wood-screw")
	steelEdition = referenced("s100", "AISI S100", "metal-screw", "seam-clamp")
)

// referenced fills in the edition of a standard of a building under the IRC.
func referenced(key, standard string, fasteners ...string) terms.TermOf[job.Adoption, string] {
	return terms.Fill(adoptionKind, key, terms.Word, func(c *terms.Call, a *job.Adoption, stated bool, v string) string {
		if stated {
			return v
		}
		if !underIRC(c) || len(fasteners) > 0 && !has(c, fasteners) {
			c.Missing(job.Join("adoption", key), c.Job().Adoption.IRC.At)
			return ""
		}
		code := terms.Peek(c, a.IRC)
		t, err := c.Tables().Get("IRC", code, "referenced")
		if err != nil {
			c.Err(err)
			return ""
		}
		edition, ok := t.Text(standard, "edition")
		if !ok {
			c.Fail("the IRC %s refers to no edition of %s", code, standard)
			return ""
		}
		c.Explain(func(quantity.System) []string {
			return []string{fmt.Sprintf("%s is the edition that the IRC %s refers to; the job names none", job.EditionName(standard, edition), code)}
		}, nil)
		c.Cite(t.Ref(standard))
		return edition
	})
}

// has reports whether the job has a fastener of one of some kinds.
func has(c *terms.Call, kinds []string) bool {
	return slices.ContainsFunc(c.Job().FastenerTypes, func(f job.FastenerType) bool { return slices.Contains(kinds, terms.Peek(c, f.Kind)) })
}

// underIRC reports whether the building follows the residential code: it was
// designed under it, or is a dwelling, or belongs to one, where it is adopted.
func underIRC(c *terms.Call) bool {
	a, b := &c.Job().Adoption, &c.Job().Building
	switch {
	case !terms.Stated(c, a.IRC):
		return false
	case terms.Stated(c, b.DesignedUnder):
		return terms.Peek(c, b.DesignedUnder) == "IRC"
	}
	if terms.Peek(c, b.Dwelling) || terms.Peek(c, b.DetachedAccessory) {
		return true
	}
	return !terms.Stated(c, a.IBC) && terms.Get(c, b.Dwelling) // with the IRC alone it has to be said
}

var _ = terms.Derive(adoptionKind, "building_code", terms.Word, "code whose rules for the structure the building follows: the IRC where it was designed under it, or is a dwelling or belongs to one and the IRC is adopted; else the IBC", "IRC R101.2, IBC 101.2", "",
	func(c *terms.Call, _ *job.Adoption) string {
		if underIRC(c) {
			return "IRC"
		}
		return "IBC"
	})

var _ = terms.Derive(adoptionKind, "building_edition", terms.Word, "edition of that code", "the job", "", func(c *terms.Call, a *job.Adoption) string {
	if underIRC(c) {
		return terms.Peek(c, a.IRC)
	}
	return terms.Get(c, a.IBC)
})
