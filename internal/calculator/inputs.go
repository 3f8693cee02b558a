package calculator

import "plumbrule/internal/quantity"

// How a calculator writes down its inputs and outputs.

func amount(name, meaning string, dim quantity.Dimension) Input {
	return Input{Name: name, Meaning: meaning, Kind: Quantity, Dim: dim}
}

func choice(name, meaning string, choices ...string) Input {
	return Input{Name: name, Meaning: meaning, Kind: Choice, Choices: choices}
}

func count(name, meaning string) Input { return Input{Name: name, Meaning: meaning, Kind: Count} }

func number(name, meaning string) Input { return Input{Name: name, Meaning: meaning, Kind: Number} }

func sizeInput(name, meaning string) Input {
	return Input{Name: name, Meaning: meaning, Kind: Conductor}
}

func free(name, meaning string) Input { return Input{Name: name, Meaning: meaning, Kind: Text} }

func flag(name, meaning string) Input { return Input{Name: name, Meaning: meaning, Kind: Flag} }

// optional marks an input that may be left out and says what it is then taken
// as; "" means that it stays absent.
func optional(in Input, otherwise string) Input {
	in.Optional, in.Default = true, otherwise
	return in
}

// without marks an input that may be left out without a value in its place,
// and says in words what that is taken as.
func without(in Input, words string) Input {
	in.Optional, in.Absent = true, words
	return in
}

// from gives the range of an input: wide enough for every real job, so that a
// slip of a unit or a digit is refused.
func (in Input) from(least, most string) Input {
	in.Least, in.Most = least, most
	return in
}

func listOf(in Input) Input {
	in.List = true
	return in
}

func out(name, meaning, unit string) Output { return Output{name, meaning, unit} }
