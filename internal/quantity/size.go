package quantity

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
)

// Size is a conductor size in the American series. Sizes are ordered from
// thin to thick, so they may be compared with < and ==. The zero Size is
// unknown and comes before every other.
type Size uint8

// sizeKeys is the series of building-wire sizes from thin to thick: AWG from
// 18 to 4/0, then kcmil. Size n is sizeKeys[n]; the areas are table data.
var sizeKeys = []string{"",
	"18", "16", "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0",
	"250", "300", "350", "400", "500", "600", "700", "750", "800", "900", "1000", "1250", "1500", "1750", "2000"}

// firstKcmil is where the series changes from gauge numbers to areas.
const firstKcmil = Size(16)

// Sizes lists every conductor size from thin to thick.
func Sizes() []Size {
	list := make([]Size, 0, len(sizeKeys)-1)
	for s := Size(1); s.Known(); s++ {
		list = append(list, s)
	}
	return list
}

// Known reports whether the size is one of the series.
func (s Size) Known() bool { return s > 0 && int(s) < len(sizeKeys) }

// Key is the size as the key column of a table has it ("10", "1/0", "250"),
// or "" for an unknown size.
func (s Size) Key() string {
	if !s.Known() {
		return ""
	}
	return sizeKeys[s]
}

// String is the size as the trade writes it: "10 AWG", "1/0 AWG",
// "250 kcmil", or "unknown size".
func (s Size) String() string {
	switch {
	case !s.Known():
		return "unknown size"
	case s < firstKcmil:
		return s.Key() + " AWG"
	}
	return s.Key() + " kcmil"
}

// Less reports whether s is thinner than t.
func (s Size) Less(t Size) bool { return s < t }

// Compare orders sizes from thin to thick, for slices.SortFunc.
func (s Size) Compare(t Size) int { return cmp.Compare(s, t) }

// Next is the next thicker size; false at the end of the series and for an
// unknown size.
func (s Size) Next() (Size, bool) {
	if next := s + 1; s.Known() && next.Known() {
		return next, true
	}
	return 0, false
}

// ParseSize reads a conductor size: "10 AWG", "#10", "10", "1/0 AWG", "0000"
// (which is 4/0), "250 kcmil", "250 MCM" or "250". The error is an *Error.
func ParseSize(text string) (Size, error) {
	if len(text) > longestText {
		return sizeFault(text, "the text is too long", "")
	}
	number, series, ok := splitSize(clean(text))
	if !ok {
		nearest, _ := Nearest(clean(text), sizeNames())
		return sizeFault(text, "not a conductor size", nearest)
	}
	s := sizeOf(number)
	switch {
	case !s.Known():
		name := strings.TrimSpace(number + " " + series)
		return sizeFault(text, fmt.Sprintf("no conductor has the size %s%s", name, neighbours(number)), "")
	case series == "AWG" && s >= firstKcmil, series == "kcmil" && s < firstKcmil:
		return sizeFault(text, fmt.Sprintf("%s is not a size in %s", number, series), s.String())
	}
	return s, nil
}

// IsSizeSeries reports whether text names a series of conductor sizes, as the
// head of a table's column may: "AWG", "kcmil" or "AWG or kcmil". A size is no
// number times a unit; ParseSize reads it.
func IsSizeSeries(text string) bool {
	for part := range strings.SplitSeq(text, " or ") {
		if seriesOf(part) != part || part == "" {
			return false
		}
	}
	return true
}

func sizeFault(text, problem, nearest string) (Size, error) {
	return 0, &Error{
		Text:     shorten(text),
		Problem:  problem,
		Expected: `a conductor size is expected, such as "10 AWG", "1/0 AWG" or "250 kcmil"`,
		Nearest:  nearest,
	}
}

func sizeNames() []string {
	var names []string
	for _, s := range Sizes() {
		names = append(names, s.String())
	}
	return names
}

// splitSize parts the number of a size from the name of its series ("AWG",
// "kcmil" or none), which may stand on either side.
func splitSize(text string) (number, series string, ok bool) {
	rest := text
	for _, mark := range []string{"#", "No.", "no.", "AWG", "awg"} {
		if after, found := strings.CutPrefix(rest, mark); found {
			rest = strings.TrimSpace(after)
			series = seriesOf(mark)
			break
		}
	}
	end := strings.IndexFunc(rest, func(r rune) bool { return (r < '0' || r > '9') && r != '/' })
	if end < 0 {
		return rest, series, rest != ""
	}
	behind := seriesOf(rest[end:])
	return rest[:end], behind, end > 0 && behind != "" && series == ""
}

// seriesOf is the usual name of a series; MCM is the older name of kcmil.
func seriesOf(text string) string {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "awg":
		return "AWG"
	case "kcmil", "mcm":
		return "kcmil"
	}
	return ""
}

// sizeOf finds the size with the given number; "0" to "0000" are the older
// spellings of 1/0 to 4/0.
func sizeOf(number string) Size {
	if zeros := len(number); zeros >= 1 && zeros <= 4 && strings.Trim(number, "0") == "" {
		number = fmt.Sprintf("%d/0", zeros)
	}
	for s := Size(1); s.Known(); s++ {
		if s.Key() == number {
			return s
		}
	}
	return 0
}

// neighbours names the sizes on both sides of a whole number that is not in
// the series: gauge numbers fall as conductors thicken, areas rise.
func neighbours(number string) string {
	n, err := strconv.Atoi(number)
	if err != nil {
		return ""
	}
	for s := Size(1); s.Known(); s++ {
		thinner, err1 := strconv.Atoi(s.Key())
		next, _ := s.Next()
		thicker, err2 := strconv.Atoi(next.Key())
		if err1 == nil && err2 == nil && min(thinner, thicker) < n && n < max(thinner, thicker) {
			return fmt.Sprintf(" (the nearest are %s and %s)", s, next)
		}
	}
	return ""
}
