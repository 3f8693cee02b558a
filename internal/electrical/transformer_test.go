package electrical

import (
	"math"
	"testing"
)

// By hand: 75 kVA, 480 V to 208 V, three-phase: 75,000 / (1.732 x 480) = 90.2 A
// and 75,000 / (1.732 x 208) = 208.2 A. Alone 1.25 x 90.2 = 112.8, next standard
// 125 A. With a device of up to 1.25 x 208.2 = 260.2, next standard 300 A, on the
// other side 2.5 x 90.2 = 225.5 A.
func TestTransformerOvercurrent(t *testing.T) {
	for _, year := range []string{"2017", "2020", "2023"} {
		c := edition(t, year)
		in := TransformerInput{Power: 75000, Primary: Winding{480, ThreePhase}, Secondary: Winding{208, ThreePhase}, PrimaryKind: Breaker, SecondaryKind: Breaker}
		o := must[TransformerOvercurrent](t)(c.TransformerOvercurrent(in))
		near(t, "primary", o.Primary, 75000/(math.Sqrt(3)*480))
		near(t, "secondary", o.Secondary, 75000/(math.Sqrt(3)*208))
		near(t, "alone", o.Largest, 125)
		in.SecondaryDevice = 300
		o = must[TransformerOvercurrent](t)(c.TransformerOvercurrent(in))
		near(t, "largest on the secondary", o.SecondaryLargest, 300)
		near(t, "with a secondary device", o.Largest, 2.5*75000/(math.Sqrt(3)*480))
		in.SecondaryDevice = 350
		o = must[TransformerOvercurrent](t)(c.TransformerOvercurrent(in))
		near(t, "with too large a secondary device", o.Largest, 125)

		// 3 kVA on 480 V: 6.25 A, x 1.67. 0.8 kVA: 1.667 A, x 3.
		in = TransformerInput{Power: 3000, Primary: Winding{480, SinglePhase}, Secondary: Winding{240, SplitPhase}, PrimaryKind: Fuse}
		o = must[TransformerOvercurrent](t)(c.TransformerOvercurrent(in))
		near(t, "middle", o.Largest, 6.25*1.67)
		in.Power = 800
		o = must[TransformerOvercurrent](t)(c.TransformerOvercurrent(in))
		near(t, "small", o.Largest, 5)
		// 2 kVA on 240 V: 8.33 A on the secondary, x 1.67 = 13.9 A.
		in.Power, in.SecondaryKind, in.SecondaryDevice = 2000, Fuse, 15
		o = must[TransformerOvercurrent](t)(c.TransformerOvercurrent(in))
		near(t, "small secondary", o.SecondaryLargest, 2000.0/240*1.67)
		near(t, "15 A is too much there", o.Factor, 1.67)
	}
	c := edition(t, "2023")
	for _, bad := range []TransformerInput{
		{Power: 75000, Primary: Winding{12470, ThreePhase}, Secondary: Winding{480, ThreePhase}, PrimaryKind: Fuse},
		{Power: 0, Primary: Winding{480, ThreePhase}, Secondary: Winding{208, ThreePhase}, PrimaryKind: Fuse},
		{Power: 75000, Primary: Winding{480, "four-phase"}, Secondary: Winding{208, ThreePhase}, PrimaryKind: Fuse},
		{Power: 75000, Primary: Winding{480, ThreePhase}, Secondary: Winding{208, ThreePhase}},
	} {
		if _, err := c.TransformerOvercurrent(bad); err == nil {
			t.Errorf("%+v: no error", bad)
		}
	}
}
