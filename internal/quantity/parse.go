package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Bounds on what is read. The longest text leaves room for any value a
// drawing carries; the magnitudes leave room for products without overflow.
const (
	longestText = 100
	largest     = 1e15
	smallest    = 1e-15
)

// Error says in one sentence what was written, what is wrong with it, what is
// expected and which unit was probably meant.
type Error struct {
	Text     string // what was written, shortened if long
	Problem  string // `unknown unit "feets"`
	Expected string // `a length is expected, such as "12 ft"`
	Nearest  string // the word that was probably meant, or ""
}

func (e *Error) Error() string {
	text := fmt.Sprintf("%q: %s; %s", e.Text, e.Problem, e.Expected)
	if e.Nearest != "" {
		text += fmt.Sprintf("; did you mean %q?", e.Nearest)
	}
	return text
}

// Parse reads text as a value of dimension want: a number with a unit of that
// dimension. It reads what people write on drawings: decimals and fractions
// ("39.4 in", "5/16 in", "1-1/2 in"), feet and inches ("12 ft 6 in",
// `12'-6 1/2"`), a rise over a run ("4:12"), a plain number or a percentage
// for a ratio. A comma in a number is refused, because it parts thousands for
// one writer and decimals for another. The error is an *Error.
func Parse(text string, want Dimension) (Value, error) {
	r := reader{text: text, want: want}
	return r.read()
}

// ParseAny reads text as Parse does and lets the unit decide the dimension.
// Where a unit serves two dimensions the commoner one is meant: "lb" is a
// force, "degC" a temperature. A plain number is a ratio.
func ParseAny(text string) (Value, error) {
	r := reader{text: text, want: dimensionCount}
	return r.read()
}

// reader reads one text. want is dimensionCount when any dimension will do.
type reader struct {
	text string
	want Dimension
}

func (r *reader) read() (Value, error) {
	if len(r.text) > longestText {
		return r.fault("the text is longer than %d characters", longestText)
	}
	text := clean(r.text)
	if text == "" {
		return r.fault("nothing is written")
	}
	first, rest, err := scanSigned(text)
	if err != nil {
		return r.fault("%v", err)
	}
	if run, ok := strings.CutPrefix(rest, ":"); ok {
		return r.slope(text, first, run)
	}
	if found := lookup(rest); found != nil {
		return r.value(first.value, rest, found)
	}
	if inches, ok := afterFeet(rest); ok {
		return r.feetInches(first, inches)
	}
	return r.unknownUnit(rest)
}

// value makes the value of a number with the units its spelling may mean.
func (r *reader) value(number float64, spelling string, found []*unit) (Value, error) {
	for _, u := range found {
		if r.accepts(u.dim) {
			return r.checked(Value{SI: u.base(number), Dim: u.dim, Unit: u.name()})
		}
	}
	return r.wrongDimension(spelling, found[0].dim)
}

// slope reads the run of a rise over a run.
func (r *reader) slope(text string, rise number, after string) (Value, error) {
	if !r.accepts(Angle) {
		return r.wrongDimension(text, Angle)
	}
	run, rest, err := scan(strings.TrimSpace(after))
	switch {
	case err != nil:
		return r.fault("after the colon %v", err)
	case rest != "":
		return r.fault("a slope ends after its run, without a unit")
	case rise.negative || run.value <= 0:
		return r.fault("a slope has a rise of zero or more over a run above zero")
	}
	return r.checked(Value{SI: degrees(math.Atan(rise.value / run.value)), Dim: Angle, Unit: pitch})
}

// feetInches reads the inches behind a number of feet. The sign before the
// feet belongs to the whole length.
func (r *reader) feetInches(feet number, after string) (Value, error) {
	if !r.accepts(Length) {
		return r.wrongDimension("ft", Length)
	}
	inches, rest, err := scan(after)
	switch {
	case err != nil:
		return r.fault("after the feet %v", err)
	case rest == "":
		return r.fault("the number after the feet has no unit")
	case unitOf(rest, Length) != unitOf("in", Length):
		return r.fault("inches are expected after feet, not %q", shorten(rest))
	case feet.value != math.Trunc(feet.value):
		return r.fault("the feet before inches are a whole number")
	case inches.value >= 12:
		return r.fault("the inches after feet are less than 12")
	}
	total := 12*math.Abs(feet.value) + inches.value
	if feet.negative {
		total = -total
	}
	return r.checked(Value{SI: unitOf("in", Length).base(total), Dim: Length, Unit: feetInches})
}

// afterFeet gives the number that follows a unit of feet: the part `6"` of
// `'-6"`.
func afterFeet(text string) (string, bool) {
	for _, name := range []string{"feet", "foot", "ft.", "ft", "'"} {
		if len(text) > len(name) && strings.EqualFold(text[:len(name)], name) {
			after := strings.TrimSpace(text[len(name):])
			after = strings.TrimSpace(strings.TrimPrefix(after, "-"))
			return after, after != "" && startsNumber(after)
		}
	}
	return "", false
}

// checked refuses a temperature that cannot be, and takes the sign off a zero.
func (r *reader) checked(v Value) (Value, error) {
	switch {
	case v.Dim == Temperature && !AtLeast(v.SI, absoluteZero):
		return r.fault("no temperature is below absolute zero")
	case v.SI == 0:
		v.SI = 0
	}
	return v, nil
}

func (r *reader) accepts(d Dimension) bool { return r.want == d || r.want == dimensionCount }

func (r *reader) fault(format string, a ...any) (Value, error) {
	return Value{}, &Error{Text: shorten(r.text), Problem: fmt.Sprintf(format, a...), Expected: r.expected()}
}

func (r *reader) wrongDimension(spelling string, found Dimension) (Value, error) {
	if spelling == "" {
		return r.fault("no unit is given")
	}
	return r.fault("%s is %s", shorten(spelling), found.withArticle())
}

func (r *reader) unknownUnit(spelling string) (Value, error) {
	if startsNumber(spelling) {
		return r.fault("%q follows the number", shorten(spelling))
	}
	nearest, _ := Nearest(plain(spelling), unitWords(r.accepts))
	return Value{}, &Error{
		Text:     shorten(r.text),
		Problem:  fmt.Sprintf("unknown unit %q", shorten(spelling)),
		Expected: r.expected(),
		Nearest:  nearest,
	}
}

func (r *reader) expected() string {
	if r.want == dimensionCount {
		return fmt.Sprintf("a number with a unit is expected, such as %q", Length.Example())
	}
	return fmt.Sprintf("%s is expected, such as %q", r.want.withArticle(), r.want.Example())
}

// number is a magnitude that was read. The sign is kept apart, for "-0 ft 6 in".
type number struct {
	value    float64
	negative bool
}

// scanSigned reads a number with an optional sign and gives what follows it.
func scanSigned(text string) (number, string, error) {
	unsigned := strings.TrimLeft(text, "+-")
	if len(text)-len(unsigned) > 1 {
		return number{}, "", fmt.Errorf("the number has more than one sign")
	}
	n, rest, err := scan(strings.TrimSpace(unsigned))
	if err == nil && text[0] == '-' {
		n = number{value: -n.value, negative: true}
	}
	return n, rest, err
}

// scan reads one unsigned number: a decimal ("39.4", "1e3"), a fraction
// ("5/16") or a whole number with a fraction ("1 1/2", "1-1/2").
func scan(text string) (number, string, error) {
	token := decimal(text)
	rest := text[len(token):]
	if token == "" {
		return number{}, "", fmt.Errorf("a number is missing")
	}
	if strings.HasPrefix(rest, ",") {
		return number{}, "", fmt.Errorf("a number is written without commas, as 1200 or 1.5")
	}
	value, err := strconv.ParseFloat(token, 64)
	if err != nil || value > largest || tooSmall(token, value) {
		return number{}, "", fmt.Errorf("the number %s is out of range", shorten(token))
	}
	if token == digits(token) {
		value, rest, err = scanFraction(value, rest)
	}
	return number{value: value}, strings.TrimSpace(rest), err
}

// tooSmall reports whether a number that is not written as zero is next to
// nothing, or was read as nothing.
func tooSmall(token string, value float64) bool {
	mantissa, _, _ := strings.Cut(strings.ToLower(token), "e")
	return value < smallest && strings.Trim(mantissa, "0.") != ""
}

// scanFraction reads what may follow a whole number: "/16" makes it the top
// of a fraction, " 1/2" and "-1/2" add one.
func scanFraction(whole float64, rest string) (float64, string, error) {
	if bottom, after, ok := over(rest); ok {
		return divide(whole, bottom, after)
	}
	gap := strings.TrimLeft(rest, " ")
	gap = strings.TrimLeft(strings.TrimPrefix(gap, "-"), " ")
	top := digits(gap)
	bottom, after, ok := over(gap[len(top):])
	if top == "" || len(gap) == len(rest) || !ok {
		return whole, rest, nil
	}
	part, after, err := divide(atof(top), bottom, after)
	if err == nil && part >= 1 {
		return 0, "", fmt.Errorf("the fraction after a whole number is one or more")
	}
	return whole + part, after, err
}

// over reads "/16" and gives the 16.
func over(text string) (bottom float64, rest string, ok bool) {
	after, found := strings.CutPrefix(text, "/")
	token := digits(after)
	if !found || token == "" {
		return 0, text, false
	}
	return atof(token), after[len(token):], true
}

func divide(top, bottom float64, rest string) (float64, string, error) {
	if bottom == 0 {
		return 0, "", fmt.Errorf("a fraction is divided by zero")
	}
	if strings.HasPrefix(rest, ".") || strings.HasPrefix(rest, "/") || strings.HasPrefix(rest, ",") {
		return 0, "", fmt.Errorf("a fraction has whole numbers above and below")
	}
	return top / bottom, rest, nil
}

// decimal is the leading part of text that is a decimal number, "" for none.
func decimal(text string) string {
	end := len(digits(text))
	places := 0
	if end < len(text) && text[end] == '.' {
		if places = len(digits(text[end+1:])); end+places > 0 {
			end += 1 + places
		}
	}
	if end == 0 || end == len(text) || (text[end] != 'e' && text[end] != 'E') {
		return text[:end]
	}
	power := text[end+1:]
	sign := len(power) - len(strings.TrimLeft(power, "+-"))
	if n := len(digits(power[min(sign, 1):])); n > 0 {
		end += 1 + min(sign, 1) + n
	}
	return text[:end]
}

// digits is the leading part of text that is a row of digits.
func digits(text string) string {
	end := 0
	for end < len(text) && text[end] >= '0' && text[end] <= '9' {
		end++
	}
	return text[:end]
}

// atof reads a row of digits, which always is a number; a row too long for
// float64 cannot occur within longestText.
func atof(digits string) float64 {
	f, _ := strconv.ParseFloat(digits, 64)
	return f
}

func startsNumber(text string) bool { return decimal(strings.TrimLeft(text, "+- ")) != "" }

// clean brings typographic characters to the ones of a keyboard and takes off
// the space around the text.
func clean(text string) string {
	if strings.IndexFunc(text, func(c rune) bool { return c >= utf8.RuneSelf || c == '\t' }) >= 0 {
		text = typography.Replace(text)
		text = strings.Map(func(c rune) rune {
			if unicode.IsSpace(c) {
				return ' '
			}
			return c
		}, text)
	}
	return strings.TrimSpace(strings.ReplaceAll(text, "''", `"`))
}

var typography = strings.NewReplacer(
	"−", "-", "–", "-", "‐", "-", "‑", "-",
	"′", "'", "’", "'", "‘", "'", "″", `"`, "”", `"`, "“", `"`,
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8")

// shorten keeps a message readable whatever was written.
func shorten(text string) string {
	const most = 40
	if utf8.RuneCountInString(text) <= most {
		return text
	}
	return string([]rune(text)[:most]) + "..."
}

func degrees(radians float64) float64 { return radians * 180 / math.Pi }
