package electrical

import (
	"fmt"

	"plumbrule/internal/quantity"
)

const (
	tableServiceDwelling = "310.12"
	tableElectrodes      = "250.53"
)

// ServiceMain is the largest main device that service conductors may have.
type ServiceMain struct {
	Basis
	Ampacity float64 // A, all sets together, in the column of large unmarked terminals
	Share    float64 // share of the service's rating that the conductors of a dwelling carry; 0 where that does not hold
	Largest  float64 // A
}

// ServiceMain gives the largest main device for service conductors in parallel
// sets. Those of a dwelling on a single phase, within the ratings of the code,
// carry a share of the service's rating; any others carry the device, or the
// next standard one below. rating is that of the device, in A. Source: NEC
// 310.12 (310.15(B)(7) in 2017), 230.90(A), 240.4(B) and (C).
func (c *Code) ServiceMain(size quantity.Size, m Material, sets int, rating float64, dwelling bool) (ServiceMain, error) {
	r := c.reader()
	r.failIf(m.check())
	r.needCount("the count of parallel sets", sets)
	r.need("the rating of the main device", rating)
	s := ServiceMain{Ampacity: r.ampacityCell(size, m, r.amount(tableTerminal, "large column")) * float64(sets)}
	if r.err != nil {
		return s, r.err
	}
	if dwelling && quantity.AtMost(r.amount(tableServiceDwelling, "from"), rating) && quantity.AtMost(rating, r.amount(tableServiceDwelling, "to")) {
		s.Share = r.amount(tableServiceDwelling, "share")
		if r.err == nil {
			s.Largest = s.Ampacity / s.Share
		}
		s.Basis = r.basis()
		return s, r.err
	}
	p, err := c.Protection(size, m, s.Ampacity)
	r.failIf(err)
	s.Largest = p.Largest
	s.Basis = Basis{append(r.refs, p.Refs...)}
	return s, r.err
}

// Work shows the calculation.
func (s ServiceMain) Work(quantity.System) []string {
	first := "ampacity of the service conductors, all sets: " + amps(s.Ampacity)
	if s.Share == 0 {
		return []string{first, "largest device: " + amps(s.Largest)}
	}
	return []string{first, fmt.Sprintf("they carry %.0f %% of the rating of a dwelling's service: up to %s", s.Share*100, amps(s.Largest))}
}

// RingConductor is the smallest conductor of a ring electrode. Source: NEC
// 250.52(A)(4).
func (c *Code) RingConductor() (quantity.Size, Basis, error) {
	r := c.reader()
	s := r.size(tableElectrodes, "ring conductor", "value")
	return s, r.basis(), r.err
}
