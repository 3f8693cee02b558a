package electrical

import (
	"strings"

	"plumbrule/internal/quantity"
)

// The tables on the places of circuits.
const (
	tableWiring   = "690.31"
	tableExposed  = "690.31 exposed"
	tableRaceways = "raceways"
	tableBurial   = "300.5"
	tableSupport  = "raceway support"
)

// Methods of wiring that are neither a raceway nor a single conductor.
const (
	cable     = "cable"
	metalClad = "MC"
	tray      = "tray"
)

// Metal reports whether a wiring method, by its word in the table of raceways,
// keeps the conductors in metal. A cable does where it is metal-clad, which its
// insulation type MC says.
func (c *Code) Metal(raceway, insulation string) (bool, Basis, error) {
	r := c.reader()
	metal := r.text(tableRaceways, raceway, "metal") == "yes"
	if raceway == cable && insulation != "" {
		metal = r.insulation(insulation, Unstated).Name == metalClad || metal
	}
	return metal, r.basis(), r.err
}

// SupportInterval gives the largest distance, in m, between supports of exposed
// photovoltaic conductors of a size: in a tray (where they are secured), in a
// cable of several conductors, or single. Source: NEC 690.31(C).
func (c *Code) SupportInterval(raceway string, size quantity.Size) (float64, Basis, error) {
	r := c.reader()
	row := "support interval"
	switch raceway {
	case tray:
		row = "tray interval"
	case cable, metalClad:
		row = "multiconductor interval"
	default:
		small, large := r.amount(tableWiring, row), r.amount(tableWiring, row+" large")
		if r.err == nil && small != large {
			if !size.Known() {
				r.fail(outside("the interval goes by the size of the conductors, which is not known"))
			} else if r.namedSize(tableWiring, "small up to").Less(size) {
				row += " large"
			}
		}
	}
	v := r.amount(tableWiring, row)
	return v, r.basis(), r.err
}

// RacewaySupport gives the largest distance, in m, between the supports of a
// raceway; that of rigid nonmetallic raceway goes by its trade size. Source: NEC
// 342.30 to 376.30, the section on securing of each article.
func (c *Code) RacewaySupport(raceway, tradeSize string) (float64, Basis, error) {
	r := c.reader()
	row := raceway
	if strings.HasPrefix(raceway, "PVC") {
		row = "PVC " + tradeSize
	}
	v := r.quantity(tableSupport, row, "interval")
	return v, r.basis(), r.err
}

// BurialDepth gives the least cover, in m, over an underground run by its
// wiring method and by what lies above it: soil, concrete, driveway, street or
// slab. The column of driveways is for one- and two-family dwellings; any other
// driveway counts as a street. Source: NEC Table 300.5.
func (c *Code) BurialDepth(raceway, cover string, dwelling bool) (float64, Basis, error) {
	r := c.reader()
	if cover == "driveway" && !dwelling {
		cover = "street"
	}
	v := r.quantity(tableBurial, raceway, cover)
	return v, r.basis(), r.err
}
