package job

import (
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Given is a value that a job may leave out. A value that is left out is
// unknown: it is neither zero nor a default, and Known is false.
type Given[T any] struct {
	Value   T
	Known   bool
	Default bool        // left out, and Value is what the model says that this means
	Key     string      // the key by its place in the job: "string.S1.modules"
	At      source.Span // where the value stands; where its owner stands when it is left out
}

// The kinds of values a job holds. Struct tags say the rest:
//
//	key       the TOML key
//	dim       the dimension of a Quantity (or of each of Lengths), by its trade name
//	choice    the words a Text may take, parted by "|"
//	ref       the kind of thing a Text (or each of Texts) names
//	doc       what the value means, in a line
//	required  "yes" where a job without it cannot be read at all (names, references that give meaning)
//	positive  "yes" where the value is above zero
//	negative  "yes" where the value is below zero
//	signed    "yes" where a Quantity that by its dimension is zero or more may be negative
//	min, max  the least and the largest value (inclusive; base units)
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
