package electrical

import "plumbrule/internal/quantity"

// RacewayGround reports whether a raceway may serve as the equipment grounding
// conductor of a circuit: metal raceways of any length, flexible ones up to a
// length (m) and a rating of the overcurrent device (A). Source: NEC 250.118.
func (c *Code) RacewayGround(raceway string, length, overcurrent float64) (bool, Basis, error) {
	r := c.reader()
	r.need("the length of the raceway", length)
	r.need("the rating of the overcurrent device", overcurrent)
	switch r.text(tableRaceways, raceway, "ground") {
	case "yes":
		r.use(r.table(tableRaceways), raceway)
		return r.err == nil, r.basis(), r.err
	case "short":
		suits := quantity.AtMost(length, r.quantity(tableRaceways, raceway, "ground length")) &&
			quantity.AtMost(overcurrent, r.quantity(tableRaceways, raceway, "ground device"))
		return suits && r.err == nil, r.basis(), r.err
	}
	r.use(r.table(tableRaceways), raceway)
	return false, r.basis(), r.err
}
