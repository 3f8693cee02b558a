package roofs

import (
	"slices"

	"plumbrule/internal/roofplan"
	"plumbrule/internal/terms"
)

// Certain makes a computation undetermined that concludes from the kinds of
// edges of the given planes, where the drawing does not settle what lies between
// one of them and another plane: it names the heights that are missing, and the
// places at which planes nearly meet or meet at heights that disagree.
func Certain(c *terms.Call, planes ...int) {
	s := Geometry.Of(c, c.Job())
	if s.Roof == nil {
		return
	}
	for _, d := range s.Roof.Doubts() {
		if slices.Contains(planes, d.A) || slices.Contains(planes, d.B) {
			c.Need(s.doubtNeeds(c, d)...)
		}
	}
}

// doubtNeeds is what would settle a doubt.
func (s *State) doubtNeeds(c *terms.Call, d roofplan.Doubt) []terms.Need {
	var needs []terms.Need
	if d.Kind == roofplan.HeightMissing {
		for _, plane := range [2]int{d.A, d.B} {
			if p := &c.Job().Planes[plane]; !terms.Stated(c, p.EaveElevation) {
				needs = append(needs, terms.Need{Key: p.EaveElevation.Key, At: p.EaveElevation.At})
			}
		}
		return needs
	}
	at := c.Job().Planes[d.A].Outline
	terms.Stated(c, at)
	return append(needs, terms.Need{Why: d.Text, At: at.At})
}
