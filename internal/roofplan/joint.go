package roofplan

// Limits are the sizes of common practice by which joints between planes are judged, metres.
type Limits struct {
	Step float64 // least height of a step that ends a way; what is lower is stepped over
	Near float64 // distance up to which edges that do not meet are taken as meant to meet
}

// DoubtKind is why the drawing does not settle what lies between two planes.
type DoubtKind uint8

const (
	NearMiss        DoubtKind = iota // edges that nearly meet in plan view, or overlap by a little
	HeightMissing                    // edges that meet in plan view, of which one height at least is not known
	HeightsDisagree                  // edges that meet in plan view at different heights, where they would otherwise be a ridge or hip
)

// Doubt is a place where two planes may or may not meet.
type Doubt struct {
	Kind     DoubtKind
	A, B     int     // planes, A less than B
	EdgeA    int     // outline edge of A, as given
	EdgeB    int     // outline edge of B
	Distance float64 // between the edges in plan view (NearMiss) or in height (HeightsDisagree), metres; 0 where a height is missing
	AtA, AtB Point   // where that distance is, in plan view
	Text     string  // the same in words, both planes and the place included
}

// Doubts lists the places where planes may or may not meet, in the order of their planes.
func (r *Roof) Doubts() []Doubt { return append([]Doubt(nil), r.doubts...) }
