package circuits

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(circuitKind, "raceway_grounds", terms.YesNo, "whether its raceway may serve as its equipment grounding conductor", "NEC 250.118", "",
	func(c *terms.Call, x *job.Circuit) bool {
		terms.Drive(c, x.Raceway)
		code, raceway, length, device := nec(c), terms.Get(c, x.Raceway), c.Q(x.RacewayLength), deviceAhead(c, x)
		if c.Stop() {
			return false
		}
		suits, basis, err := code.RacewayGround(raceway, length, device)
		if err != nil {
			c.Err(err)
			return false
		}
		c.Cite(basis.Refs...)
		return suits
	})

// groundByRaceway is whether the raceway is stated to be the equipment
// grounding conductor, so that no wire is asked for.
func groundByRaceway(c *terms.Call, x *job.Circuit) bool {
	return terms.Get(c, x.GroundPath) == "raceway"
}
