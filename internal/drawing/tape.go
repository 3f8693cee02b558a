package drawing

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
)

// tape is a length as a tape shows it: feet, inches and sixteenths, or whole
// millimetres.
func tape(metres float64, sys quantity.System) string { return onTape(metres, sys, math.Round) }

// tapeDown is the same, of a gap that has to be at least as wide as it says.
func tapeDown(metres float64, sys quantity.System) string {
	return onTape(metres, sys, func(v float64) float64 { return math.Floor(v + 1e-6) })
}

// tapeUp is the same, of something that has to be at least as large as it says.
func tapeUp(metres float64, sys quantity.System) string {
	return onTape(metres, sys, func(v float64) float64 { return math.Ceil(v - 1e-6) })
}

func onTape(metres float64, sys quantity.System, whole func(float64) float64) string {
	if sys == quantity.SI {
		return SvgNumber(whole(metres*1000)) + " mm"
	}
	n := int(whole(metres / quantity.Inch * 16))
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	feet, inches, part := n/192, n%192/16, n%16
	fraction := ""
	if part > 0 {
		of := 16
		for part%2 == 0 {
			part, of = part/2, of/2
		}
		fraction = fmt.Sprintf("%d/%d", part, of)
	}
	text := fmt.Sprint(inches)
	switch {
	case fraction != "" && inches == 0 && feet == 0:
		text = fraction
	case fraction != "":
		text += " " + fraction
	}
	switch {
	case feet == 0:
		return sign + text + " in"
	case inches == 0 && fraction == "":
		return sign + fmt.Sprint(feet) + " ft"
	}
	return sign + fmt.Sprintf("%d ft %s in", feet, text)
}
