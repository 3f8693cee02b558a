package papertext

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"plumbrule/internal/quantity"
)

// On gives the numbers, from 1, of the pages on which a test finds what it
// looks for.
func (t *Text) On(found func(line string) bool) []int {
	var out []int
	for i, p := range t.Pages {
		for _, l := range p.lines {
			if found(l) {
				out = append(out, i+1)
				break
			}
		}
	}
	return out
}

// Quantity looks for a value with its unit, however it is written: "-14 degF" is
// found in "−14°F" and in "-14 F", "3/8 in" in `3/8"` and in "0.375 in", "1200 W"
// in "1,200 W" and in "1.2 kW". It has to be the same value: one that was rounded
// is another. A number that may be a part of another ("114 °F", "10-14 °F", the
// inches of feet and inches) is not it, and neither is one without a unit.
func Quantity(v quantity.Value) func(line string) bool {
	return func(line string) bool {
		if !strings.ContainsAny(line, "0123456789") {
			return false
		}
		if v.Dim == quantity.Angle && slopeIn(line, v) || v.Dim == quantity.Voltage && systemIn(line, v) {
			return true
		}
		for _, at := range number.FindAllStringIndex(line, -1) {
			text, rest, ok := whole(line, at[0], at[1], v.Dim)
			if ok && measured(text, rest, v) {
				return true
			}
		}
		return false
	}
}

// number is a decimal; thousands may be parted by commas.
var number = regexp.MustCompile(`(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?|\.\d+`)

var (
	fraction  = regexp.MustCompile(`^ ?/ ?\d+`)
	andPart   = regexp.MustCompile(`^(?: | ?- ?)(\d+ ?/ ?\d+)`)
	afterPart = regexp.MustCompile(`\d(?: | ?- ?)$`)
	afterFeet = regexp.MustCompile(`(?i)\d ?(?:'|ft\.?|feet|foot)[ -]*$`)
	parted    = regexp.MustCompile(`(?:^|[^\d.,])\d{1,3} $`)
	dash      = regexp.MustCompile(`(?:^|[\s:=])- $`)
)

// whole widens a number at a place of a line to all that belongs to it, its sign
// and its fraction, and gives what follows; false where it may be part of something
// else.
func whole(line string, from, to int, dim quantity.Dimension) (text, rest string, ok bool) {
	text, before, rest := line[from:to], line[:from], line[to:]
	plainDigits := strings.Trim(text, "0123456789") == ""
	if plainDigits && fraction.MatchString(rest) {
		f := fraction.FindString(rest)
		text, rest = text+strings.ReplaceAll(f, " ", ""), rest[len(f):]
		if afterPart.MatchString(before) { // the fraction of "1 3/8"
			return "", "", false
		}
	} else if m := andPart.FindStringSubmatch(rest); plainDigits && m != nil {
		text, rest = text+" "+strings.ReplaceAll(m[1], " ", ""), rest[len(m[0]):]
	}
	if len(rest) > 1 && strings.ContainsRune(",./", rune(rest[0])) && rest[1] >= '0' && rest[1] <= '9' {
		return "", "", false
	}
	if afterFeet.MatchString(before) {
		return "", "", false
	}
	if len(text) >= 3 && plainDigits && to-from == 3 && parted.MatchString(before) {
		return "", "", false // the end of "1 200"
	}
	sign := ""
	if n := len(before); n > 0 && (before[n-1] == '-' || before[n-1] == '+') {
		sign, before = before[n-1:], before[:n-1]
		if last, _ := utf8.DecodeLastRuneInString(before); joins(last) || last == ')' || last == '"' || last == '\'' || last == '%' || last == '°' {
			return "", "", false // a range, or the number of a part
		}
	} else if dim == quantity.Temperature && dash.MatchString(before) {
		return "", "", false // a minus or a dash
	}
	if last, _ := utf8.DecodeLastRuneInString(before); joins(last) && !times(before) {
		return "", "", false
	}
	return sign + strings.ReplaceAll(text, ",", ""), rest, true
}

// joins reports whether a sign makes a whole with the number that follows it.
func joins(r rune) bool {
	return r != utf8.RuneError && (unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("./,_^#$", r))
}

// times reports whether a text ends in the sign of multiplication, as "2x" does.
func times(before string) bool {
	n := len(before)
	if n == 0 || before[n-1] != 'x' && before[n-1] != 'X' {
		return false
	}
	last, _ := utf8.DecodeLastRuneInString(before[:n-1])
	return n > 1 && !unicode.IsLetter(last)
}

// longestUnit bounds how far behind a number its unit may reach, with the inches
// behind feet.
const longestUnit = 24

// measured reports whether a number with the unit that follows is a value.
func measured(text, rest string, v quantity.Value) bool {
	after := strings.TrimPrefix(rest, " ")
	if after == rest {
		after = strings.TrimPrefix(rest, "-") // 20-A
	}
	cuts := 0
	for i := range after {
		if i > longestUnit {
			break
		}
		cuts = i
	}
	if len(after) <= longestUnit {
		cuts = len(after)
	}
	for n := cuts; n > 0; n-- {
		if !utf8.ValidString(after[:n]) || !ends(after[n:]) {
			continue
		}
		unit := strings.TrimRight(after[:n], ".")
		if unit == "" || unit[0] == ':' || strings.HasSuffix(unit, " ") { // slopes are looked for by themselves
			continue
		}
		for _, u := range []string{unit, capitals[unit]} {
			if u == "" {
				continue
			}
			if got, err := quantity.Parse(text+" "+u, v.Dim); err == nil {
				return same(got.SI, v.SI)
			}
		}
		if _, err := quantity.ParseAny(text + " " + unit); err == nil {
			return false // a value of another dimension
		}
	}
	return false
}

// capitals are the units that drawings letter in capitals.
var capitals = map[string]string{
	"IN": "in", "INCH": "in", "INCHES": "in", "FT": "ft", "FEET": "ft", "MM": "mm", "LB": "lb", "LBS": "lb", "lbs": "lb", "PSF": "psf", "PSI": "psi", "PLF": "plf",
	"MPH": "mph", "AMP": "A", "AMPS": "A", "Amp": "A", "Amps": "A", "VOLT": "V", "VOLTS": "V", "VDC": "V", "VAC": "V", "V DC": "V", "V AC": "V", "Volts": "V",
	"KW": "kW", "WATT": "W", "WATTS": "W", "DEG": "deg", "DEG F": "degF", "DEG C": "degC", "SQ FT": "sq ft", "SF": "sq ft", "°": "deg", "°F": "degF", "°C": "degC",
}

// ends reports whether a unit may end before a text.
func ends(rest string) bool {
	r, _ := utf8.DecodeRuneInString(rest)
	if rest == "" {
		return true
	}
	return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("/°^*·²³%", r)
}

// same tells values apart that are not written from one another: twelve digits
// hold a conversion, six a fraction as a decimal.
func same(a, b float64) bool {
	return math.Abs(a-b) <= 1e-6*math.Max(math.Abs(a), math.Abs(b))
}

var slopes = regexp.MustCompile(`(?:^|[^\d./,:-])(\d+(?:\.\d+)?(?: \d/\d+)?) ?(?::|/|in) ?12(?:$|[^\d./,:'"-])`)

// slopeIn looks for a slope as a rise over a run of twelve.
func slopeIn(line string, v quantity.Value) bool {
	for _, m := range slopes.FindAllStringSubmatch(line, -1) {
		if got, err := quantity.Parse(m[1]+":12", quantity.Angle); err == nil && same(got.SI, v.SI) {
			return true
		}
	}
	return false
}

// A system is written with its voltage to neutral, in either order: "120/240 V",
// "208Y/120 V", "480Y/277V".
var systems = regexp.MustCompile(`(?i)(?:^|[^\w./,-])(\d{2,3})Y? ?/ ?(\d{2,3})Y? ?-?V(?:olts?|ac)?(?:$|[^\w/])`)

// systemIn looks for a voltage among the two of a system.
func systemIn(line string, v quantity.Value) bool {
	for _, m := range systems.FindAllStringSubmatch(line, -1) {
		for _, n := range m[1:] {
			if got, err := quantity.Parse(n+" V", quantity.Voltage); err == nil && same(got.SI, v.SI) {
				return true
			}
		}
	}
	return false
}

var sizes = []*regexp.Regexp{
	regexp.MustCompile(`(?i)(^|[^\w./,])(?:# ?|no\. ?)?(\d/0|\d+)[ -]?(awg|kcmil|mcm)(?:$|\W)`),
	regexp.MustCompile(`(?i)(^|[^\w./,])(?:awg|kcmil|mcm)[ -]?(?:# ?|no\. ?)?(\d/0|\d+)(?:$|[^\w./,])`),
	regexp.MustCompile(`(?i)(^|[^\w./,])# ?(\d/0|\d+)[ ,-]*(?:awg|cu|al|copper|aluminum|aluminium|thwn|thhn|xhhw|pv|use|rhw|tw|bare|solid|stranded)(?:$|\W)`),
}

// Size looks for the size of a conductor: "12 AWG" is found in "#12 AWG", "AWG 12"
// and "#12 THWN-2", and not in "#12" alone, which may be a screw.
func Size(s quantity.Size) func(line string) bool {
	return func(line string) bool {
		for _, re := range sizes {
			for from := 0; from < len(line); {
				m := re.FindStringSubmatchIndex(line[from:])
				if m == nil {
					break
				}
				begin := from + m[2]
				of := line[from+m[4] : from+m[5]]
				ranged := begin > 0 && line[begin] == '-' && line[begin-1] >= '0' && line[begin-1] <= '9' && !strings.Contains(line[begin:from+m[4]], "#")
				if got, err := quantity.ParseSize(of); err == nil && got == s && !ranged {
					return true
				}
				from += m[5]
			}
		}
		return false
	}
}

// Name looks for words that stand by themselves, whatever their capitals.
func Name(name string) func(line string) bool {
	want := strings.ToLower(plain(name))
	return func(line string) bool {
		line = strings.ToLower(line)
		for from := 0; want != ""; {
			i := strings.Index(line[from:], want)
			if i < 0 {
				return false
			}
			i += from
			before, _ := utf8.DecodeLastRuneInString(line[:i])
			after, _ := utf8.DecodeRuneInString(line[i+len(want):])
			if !goesOn(before) && !goesOn(after) {
				return true
			}
			from = i + len(want)
		}
		return false
	}
}

// goesOn reports whether a name may go on with a sign, as a model number does.
func goesOn(r rune) bool {
	return r != utf8.RuneError && (unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' || r == '_' || r == '/')
}

var typography = strings.NewReplacer(
	"−", "-", "–", "-", "‐", "-", "‑", "-",
	"′", "'", "’", "'", "‘", "'", "″", `"`, "”", `"`, "“", `"`, "''", `"`,
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
	"⁄", "/", "∕", "/", "º", "°", "˚", "°", "℉", "°F", "℃", "°C", "×", "x", "\u00ad", "", "\u200b", "", "\ufb01", "fi", "\ufb02", "fl")

var raised = regexp.MustCompile(`(\pL)([²³])`)

var degree = regexp.MustCompile(`° ?([FC])\b`)

// plain writes a line with the plain sign of each kind and single spaces.
func plain(line string) string {
	line = typography.Replace(strings.ToValidUTF8(line, "\uFFFD"))
	line = raised.ReplaceAllStringFunc(line, func(s string) string {
		return strings.NewReplacer("²", "2", "³", "3").Replace(s)
	})
	line = degree.ReplaceAllString(line, "°$1")
	return strings.Join(strings.FieldsFunc(line, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) }), " ")
}

// Where says on which pages something stands: "page 2", "pages 2, 3 and 7".
func Where(pages []int) string {
	const most = 3
	if len(pages) == 1 {
		return "page " + strconv.Itoa(pages[0])
	}
	var b strings.Builder
	b.WriteString("pages ")
	for i, p := range pages {
		switch {
		case i == most:
			b.WriteString(" and " + strconv.Itoa(len(pages)-most) + " more")
			return b.String()
		case i > 0 && i == len(pages)-1:
			b.WriteString(" and ")
		case i > 0:
			b.WriteString(", ")
		}
		b.WriteString(strconv.Itoa(p))
	}
	return b.String()
}
