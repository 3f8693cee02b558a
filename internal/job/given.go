package job

import (
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Given is a value that a job may leave out. Known is false for a value that
// is left out. It is then unknown, and its Value means nothing, unless the
// model declares a default: then Value is the default and Default is true.
type Given[T any] struct {
	Value   T
	Known   bool        // the job states it
	Default bool        // the job leaves it out and Value is the default of the model, or that of From
	From    string      // the key that stands in when the job leaves this one out; "" for none or where it is stated
	Key     string      // the key by its place in the job: "string.S1.modules"
	At      source.Span // where the value stands; where its owner stands when it is left out
}

// The kinds of values a job holds. Struct tags say the rest:
//
//	key       the TOML key
//	dim       the dimension of a Quantity (or of each of Lengths), by its trade name
//	rated     of a ratio per temperature, the key of the same table that a voltage per temperature is a ratio of
//	choice    the words a Text may take, parted by "|"
//	sets      "yes" where each of a Texts names a standard set
//	ref       the kind of thing a Text (or each of Texts) names; of a Text it may be several, parted by "|",
//	          of which "service" stands for the section of that name
//	doc       what the value means, in a line
//	required  "yes" where a job without it cannot be read at all (names, references that give meaning)
//	positive  "yes" where the value is above zero
//	negative  "yes" where the value is below zero
//	signed    "yes" where a Quantity that by its dimension is zero or more may be negative
//	min, max  the least and the largest value (inclusive; base units)
//	default   the value that holds when the key is left out, as a job would write it; true or false for a Flag
//	or        the key whose value stands in when this one is left out: "site.design_high", or ".length" for a key of the same table
//	absent    what leaving it out says, in words, beside a default or where no value stands in
//
// default and or fill the Value where they can; what absent says is for those
// who read the job to do.
//
// A length, voltage, current, power, pressure, force, mass, speed, time or
// ratio is zero or more unless a tag says otherwise.
type (
	Quantity = Given[quantity.Value]
	Number   = Given[float64]
	Count    = Given[int]
	Flag     = Given[bool]
	Text     = Given[string]
	Texts    = Given[[]string]
	Counts   = Given[[]int]
	Size     = Given[quantity.Size]
	Points   = Given[[]Point]   // a list of [x, y] pairs of lengths
	PointAt  = Given[Point]     // one [x, y] pair of lengths
	Cells    = Given[[]Cell]    // a list of [row, column] pairs, counted from 1
	Lengths  = Given[[]float64] // a list of lengths (or what dim says), kept in the base unit
)

// Point is a position in metres.
type Point struct{ X, Y float64 }

// Cell is one place of a module grid, counted from 1; row 1 is the lowest.
type Cell struct{ Row, Column int }
