package codebook

// Phrase is one way to say something in an expression, beyond the operators of
// CEL.
type Phrase struct {
	Form    string // as it is written, with names that stand for parts
	Meaning string
	Example string // an expression that compiles, of a kind that every job has
}

// Language lists what expressions may use beyond CEL's operators and the terms
// of things. Operators know dimensions, and compare within a relative 1e-9.
func Language() []Phrase {
	return []Phrase{
		{`q("36 in")`, "a quantity", `q("36 in") > q("1 m")`},
		{`size_of("10 AWG")`, "a conductor size", `size_of("10 AWG") < size_of("8 AWG")`},
		{`stated(thing.term)`, "whether the job states the value, itself; never unknown", `stated(site.latitude)`},
		{`list.sum(x, value)`, "sum of a value over a list; of none, zero", `strings.sum(s, s.modules)`},
		{`list.count(x, condition)`, "how many of a list a condition holds for", `strings.count(s, s.modules > 3)`},
		{`list.max(x, value)`, "largest of a value over a list; of none, an error", `strings.max(s, s.modules)`},
		{`list.min(x, value)`, "smallest of a value over a list; of none, an error", `strings.min(s, s.modules)`},
		{`list.all(x, condition)`, "whether a condition holds for each of a list", `strings.all(s, s.modules > 3)`},
		{`list.exists(x, condition)`, "whether a condition holds for one of a list at least", `strings.exists(s, s.modules > 3)`},
		{`list.exists_one(x, condition)`, "whether a condition holds for just one of a list", `strings.exists_one(s, s.modules > 3)`},
		{`list.filter(x, condition)`, "those of a list that a condition holds for", `strings.filter(s, s.modules > 3)`},
		{`list.map(x, value)`, "a value of each of a list", `strings.map(s, s.modules)`},
		{`size(list)`, "how many a list has, or letters a text", `size(strings)`},
		{`x in list`, "whether a list has it", `"S1" in ["S1", "S2"]`},
		{`max(a, b)`, "the larger of two, which may be quantities", `max(q("1 ft"), q("10 in"))`},
		{`min(a, b)`, "the smaller of two", `min(2, 3)`},
		{`abs(a)`, "the amount without its sign", `abs(q("1 ft") - q("10 in"))`},
		{`text.contains("part")`, "whether a text holds another", `"abc".contains("b")`},
		{`text.startsWith("part")`, "whether a text begins with another", `"abc".startsWith("a")`},
		{`text.endsWith("part")`, "whether a text ends with another", `"abc".endsWith("c")`},
		{`text.matches("pattern")`, "whether a text matches a regular expression (RE2)", `"abc".matches("^a")`},
		{`text.listed_to("UL 1741")`, "whether the text of a listing names a standard, however it is written, and does not say that it is still to come", `"IEEE 1547, UL1741 SB".listed_to("UL 1741")`},
		{`text.field_labelled()`, "whether the text of a listing says that the equipment was evaluated in the field and labelled", `"field labelled".field_labelled()`},
		{`condition ? a : b`, "one of two values", `true ? 1 : 2`},
	}
}
