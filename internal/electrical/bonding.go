package electrical

import (
	"fmt"

	"plumbrule/internal/quantity"
)

// BondingInput asks for a conductor that is sized by the ungrounded conductors
// ahead of the first overcurrent device.
type BondingInput struct {
	Ungrounded quantity.Size
	Of         Material
	Sets       int      // parallel sets, one or more
	Apart      bool     // whether each set has a raceway, and such a conductor, of its own
	Material   Material // of the conductor that is asked for
}

// BondingJumper is a supply-side bonding jumper, or a grounded conductor of the
// same smallest size.
type BondingJumper struct {
	Basis
	Input    BondingInput
	Area     float64 // m2, of the ungrounded conductors that it is sized by
	Beyond   bool    // whether that area lies beyond the end of the table
	Required float64 // m2, by the share of the area; zero within the table
	Size     quantity.Size
}

// BondingJumper gives the smallest supply-side bonding jumper, which is also the
// smallest grounded conductor of a service: by the table up to its end, and by a
// share of the area of the ungrounded conductors beyond it. Parallel sets in
// raceways of their own are taken one by one, sets together by the sum of their
// areas. Beyond the table a jumper of another metal goes by conductors of equal
// ampacity, which is not computed here: an error. Source: NEC 250.102(C)(1) and
// (2), Table 250.102(C)(1), 250.24(C).
func (c *Code) BondingJumper(in BondingInput) (BondingJumper, error) {
	r := c.reader()
	r.failIf(in.Of.check())
	r.failIf(in.Material.check())
	r.needCount("the count of parallel sets", in.Sets)
	b := BondingJumper{Input: in, Area: r.area(in.Ungrounded)}
	if !in.Apart {
		b.Area *= float64(in.Sets)
	}
	end := r.amount(tableBonding, string(in.Of))
	b.Size = r.electrodeByArea(min(b.Area, end), in.Of, in.Material)
	if b.Beyond = r.err == nil && !quantity.AtMost(b.Area, end); b.Beyond {
		if in.Of != in.Material {
			r.fail(outside("beyond the table a jumper of %s goes by %s conductors of the ampacity of the %s ones: size it by those", in.Material, in.Material, in.Of))
		}
		b.Required = r.value(tableBonding, "share") * b.Area
		b.Size = r.sizeOf(b.Required, b.Size)
	}
	b.Basis = r.basis()
	return b, r.err
}

// Work gives the calculation.
func (b BondingJumper) Work(quantity.System) []string {
	in := b.Input
	sets := fmt.Sprintf("%d x %s together", in.Sets, in.Ungrounded)
	if in.Apart || in.Sets == 1 {
		sets = in.Ungrounded.String()
		if in.Sets > 1 {
			sets += " in each raceway"
		}
	}
	lines := []string{fmt.Sprintf("ungrounded conductors %s %s: %s", sets, in.Of, cmil(b.Area))}
	if b.Beyond {
		lines = append(lines, fmt.Sprintf("beyond the end of the table: %s", cmil(b.Required)))
	}
	return append(lines, fmt.Sprintf("smallest size %s %s", b.Size, in.Material))
}
