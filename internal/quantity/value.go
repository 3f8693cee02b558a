package quantity

// System is the family of units a writer uses.
type System uint8

const (
	US System = iota // inches, feet, pounds, degrees Fahrenheit
	SI               // metres, newtons, degrees Celsius
)

// Value is one quantity. SI is its magnitude in the dimension's base unit;
// Unit is the unit it was written in under its usual name ("in" for inches),
// "ft in" for feet and inches, ":12" for a rise over a run; it is empty for a
// computed value and for a ratio without percent.
type Value struct {
	SI   float64
	Dim  Dimension
	Unit string
}

// Of makes a computed value of dimension d from a magnitude in its base unit.
func Of(si float64, d Dimension) Value { return Value{SI: si, Dim: d} }
