package circuits

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// What a job says to be in the submittal, its list of papers says too.

var documentKind = terms.KindFor[job.Document]()

var (
	_ = claim(serviceKind, "load_calculation", "load-calculation", "a load calculation")
	_ = claim(serviceKind, "photo_of_label", "photos", "a photograph")
	_ = claim(interconnectionKind, "utility_approval", "utility-approval", "an approval by the utility")
)

// claim declares that a key which says whether a paper is in the submittal
// follows from the papers where it is left out.
func claim[T any](k terms.KindOf[T], key, paper, name string) terms.TermOf[T, bool] {
	return terms.Fill(k, key, terms.YesNo, func(c *terms.Call, _ *T, stated bool, v bool) bool {
		if stated {
			return v
		}
		part := c.Part()
		for _, d := range documentKind.All(c) {
			if terms.Get(part, d.Kind) == paper {
				line(c, "%s is among the papers: %s", name, d.Name.Value)
				return true
			}
		}
		c.Need(part.Needs()...) // any of them could be it
		line(c, "%s is not among the papers", name)
		return false
	})
}
