package job

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"plumbrule/internal/quantity"
)

// Example is a value that a job may state for the key, as TOML writes it, in the
// units of a system: it shows the form and is no value of any roof. A key that
// names a thing gets the first of the names given, if there is one.
func (f *Field) Example(sys quantity.System, names []string) string {
	one := func(kind Kind) string { return f.exampleOf(kind, sys, names) }
	switch f.Kind {
	case KindPoint:
		return one(KindPoint)
	case KindPoints:
		x, zero := f.quantityExample(sys), Quote(quantity.Of(0, f.Dim).Format(sys))
		return "[[" + zero + ", " + zero + "], [" + x + ", " + zero + "], [" + x + ", " + x + "]]"
	case KindTexts, KindCounts, KindQuantities, KindCells:
		return "[" + one(elementKind[f.Kind]) + "]"
	}
	return one(f.Kind)
}

func (f *Field) exampleOf(kind Kind, sys quantity.System, names []string) string {
	if f.Kind == KindCells {
		return "[1, 1]"
	}
	switch kind {
	case KindQuantity:
		return f.quantityExample(sys)
	case KindPoint:
		x := f.quantityExample(sys)
		return "[" + x + ", " + x + "]"
	case KindNumber:
		return strconv.FormatFloat(f.inside(1), 'g', 3, 64)
	case KindCount:
		return strconv.Itoa(int(math.Ceil(f.inside(1))))
	case KindFlag:
		return "true"
	case KindSize:
		return Quote("10 AWG")
	}
	word := "..."
	switch {
	case len(f.Choice) > 0:
		word = f.Choice[0]
	case len(names) > 0:
		word = names[0]
	default:
		word = cmp.Or(f.suchAs(), word)
	}
	return Quote(word)
}

// suchAs is the first example that the meaning of the key gives in words.
func (f *Field) suchAs() string {
	_, said, ok := strings.Cut(f.Doc, "such as ")
	if !ok || f.Kind != KindText {
		return ""
	}
	if quoted, err := strconv.QuotedPrefix(said); err == nil {
		said, _ = strconv.Unquote(quoted)
		return said
	}
	said, _, _ = strings.Cut(said, " or ")
	said, _, _ = strings.Cut(said, ",")
	return said
}

// quantityExample is the dimension's example where the bounds of the key allow
// it, else a round one between them.
func (f *Field) quantityExample(sys quantity.System) string {
	v, err := quantity.Parse(f.Dim.Example(), f.Dim)
	if err != nil {
		panic(err) // the tests read every example
	}
	text := v.Format(sys)
	if si := f.inside(v.SI); si != v.SI {
		text = twoDigits(quantity.Of(si, f.Dim).Format(sys))
	} else if written, told := v.System(); !told || written == sys {
		text = v.String()
	}
	return Quote(text)
}

// twoDigits rounds the number of a quantity to two significant digits.
func twoDigits(text string) string {
	number, unit, _ := strings.Cut(text, " ")
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return text
	}
	x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', 2, 64), 64)
	return strings.TrimSpace(strconv.FormatFloat(x, 'f', -1, 64) + " " + unit)
}

// inside is a number that the bounds of the key allow: x itself, or one between
// them.
func (f *Field) inside(x float64) float64 {
	low, high := math.Inf(-1), math.Inf(1)
	if f.Min != nil {
		low = *f.Min
	}
	if f.Max != nil {
		high = *f.Max
	}
	if f.Positive {
		low = max(low, math.SmallestNonzeroFloat64)
	}
	if f.Negative {
		high = min(high, -math.SmallestNonzeroFloat64)
	}
	switch {
	case x >= low && x <= high:
		return x
	case math.IsInf(high, 1):
		return low + math.Abs(x)
	case math.IsInf(low, -1):
		return high - math.Abs(x)
	case low*high > 0 && low > 1e-9 || high < -1e-9:
		return math.Copysign(math.Sqrt(low*high), high)
	}
	return (low + high) / 2
}

// Quote writes a text as TOML does, with nothing in it that steers a terminal.
func Quote(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r):
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
