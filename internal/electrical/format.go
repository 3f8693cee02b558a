package electrical

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"plumbrule/internal/quantity"
)

// The forms in which a calculation prints its numbers. Temperatures are in
// degC in either system, as the tables and the data sheets have them.

func volts(x float64) string { return quantity.Of(x, quantity.Voltage).Format(quantity.US) }
func amps(x float64) string  { return quantity.Of(x, quantity.Current).Format(quantity.US) }
func degC(x float64) string  { return quantity.Of(x, quantity.Temperature).Format(quantity.SI) }
func perK(x float64) string  { return quantity.Of(x, quantity.RatioPerTemperature).Format(quantity.SI) }
func cmil(x float64) string  { return plain(x/quantity.CircularMil, 0) + " cmil" }
func percent(x float64) string {
	return plain(100*x, 1) + " %"
}

func length(x float64, sys quantity.System) string {
	return quantity.Of(x, quantity.Length).Format(sys)
}

// area prints the cross-section of raceways and cables, which the tables give
// to a ten-thousandth of a square inch.
func area(x float64, sys quantity.System) string {
	if sys == quantity.US {
		return plain(x/quantity.SquareInch, 4) + " in2"
	}
	return quantity.Of(x, quantity.Area).Format(sys)
}

// plain prints a number with at most the given decimals.
func plain(x float64, places int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "undefined"
	}
	s := strconv.FormatFloat(x, 'f', places, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// factor prints a factor of the code.
func factor(x float64) string { return plain(x, 4) }

func list(xs []float64, f func(float64) string) string {
	parts := make([]string, len(xs))
	for i, x := range xs {
		parts[i] = f(x)
	}
	return strings.Join(parts, " + ")
}

// compare prints a demand beside its limit.
func compare(demand, limit string, met bool) string {
	if met {
		return fmt.Sprintf("%s <= %s: met", demand, limit)
	}
	return fmt.Sprintf("%s > %s: not met", demand, limit)
}
