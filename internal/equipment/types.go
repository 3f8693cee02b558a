package equipment

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Type is an entry of a list as a type of a job.
type Type struct {
	Kind, Name, Maker string
	Date              string // of the line in the list
	Line              int
	Values            []Value         // in the order of the model
	Doubts            map[string]Left // keys that the list gives and that are left open all the same
}

// Value is one that the list gives.
type Value struct {
	Key     string
	Text    string // as TOML writes it
	Heading string // of its column
}

// Left says what the list has for a key that is left open, and why.
type Left struct{ Says, Why string }

// Types finds the entries of names and gives them as types, each once, in the
// order of the names. The error is source.Faults with every fault of all.
func (l *List) Types(names []string) ([]*Type, error) {
	var out []*Type
	var faults source.Faults
	var seen []*Entry
	for _, name := range names {
		e, fault := l.find(name)
		if fault != nil {
			faults = append(faults, *fault)
			continue
		}
		if slices.Contains(seen, e) {
			continue
		}
		seen = append(seen, e)
		t, more := l.typeOf(e)
		out, faults = append(out, t), append(faults, more...)
	}
	for i, t := range out {
		for _, u := range out[:i] {
			if t.Name == u.Name {
				faults = append(faults, source.Fault{Message: fmt.Sprintf("--model: %q is a name of two of the entries, of %q and of %q", t.Name, u.Maker, t.Maker), Expected: "one of them at a time is expected"})
			}
		}
	}
	return out, faults.Err()
}

// Find lists the entries whose maker, name or model number has a text.
func (l *List) Find(text string) []*Entry {
	var out []*Entry
	for _, e := range l.Entries {
		if strings.Contains(fold(e.Maker+" "+e.Name), fold(text)) {
			out = append(out, e)
		}
	}
	return out
}

// mostFigures is how many figures tell one entry from another.
const mostFigures = 4

// Figures gives what an entry says of the first numbers of the list, as it says
// them; "" where it says nothing.
func (l *List) Figures(e *Entry) []string {
	var out []string
	for _, c := range l.Columns {
		if c.Key == "" || !c.numeric || len(out) == mostFigures {
			continue
		}
		text := ""
		if x, ok := e.cells[c]; ok {
			text = strings.TrimSpace(c.Key + " " + x.text + " " + x.unit)
		}
		out = append(out, text)
	}
	return out
}

// find gives the entry of a name: the model number, the name of the type, or
// either behind its maker.
func (l *List) find(name string) (*Entry, *source.Fault) {
	wanted := fold(name)
	var found []*Entry
	for _, e := range l.Entries {
		for _, own := range []string{e.model, e.Name} {
			if fold(own) == wanted || fold(e.Maker+" "+own) == wanted {
				found = append(found, e)
				break
			}
		}
	}
	if len(found) == 0 {
		return nil, l.unknown(name)
	}
	first := found[0]
	for _, e := range found[1:] {
		if fold(e.Maker) != fold(first.Maker) || fold(e.Name) != fold(first.Name) {
			fault := &source.Fault{At: e.At, Message: fmt.Sprintf("--model %q is that of several entries", clean(name)), Expected: "the maker before it is expected, or what tells them apart behind it"}
			for _, e := range found {
				fault.Also = append(fault.Also, source.Further{At: e.At, Note: strings.TrimSpace(e.Maker + " " + e.Name)})
			}
			return nil, fault
		}
		if differ := l.differ(first, e); len(differ) > 0 {
			return nil, &source.Fault{At: e.At, Message: fmt.Sprintf("%q stands in the list twice, with another %s", e.Name, strings.Join(differ, ", ")),
				Expected: "one of the lines is wrong: take the values from the maker's cut sheet, or take the wrong line out of the file", Also: []source.Further{{At: first.At, Note: source.FirstHere}}}
		}
	}
	return first, nil
}

// differ lists the headings under which two lines differ.
func (l *List) differ(a, b *Entry) []string {
	var out []string
	for _, c := range l.Columns {
		x, y := a.cells[c], b.cells[c]
		if c.Holds != "" || fold(x.text) == fold(y.text) {
			continue
		}
		if v, err := strconv.ParseFloat(x.text, 64); err == nil {
			if w, err := strconv.ParseFloat(y.text, 64); err == nil && quantity.Near(v, w) {
				continue
			}
		}
		out = append(out, c.Heading[0])
	}
	return out
}

// mostNear is how many names are suggested for one that the list does not have.
const mostNear = 5

// unknown says that the list has no such entry, and which are near.
func (l *List) unknown(name string) *source.Fault {
	var names, near []string
	seen := map[string]bool{}
	for _, e := range l.Entries {
		if !seen[e.Name] {
			names, seen[e.Name] = append(names, e.Name), true
		}
	}
	fault := &source.Fault{Message: fmt.Sprintf("--model %q: the list has no such model", clean(name))}
	rest := names
	for range mostNear {
		word, ok := quantity.Nearest(clean(name), rest)
		if !ok {
			break
		}
		near = append(near, word)
		rest = slices.DeleteFunc(slices.Clone(rest), func(n string) bool { return n == word })
	}
	for _, n := range rest {
		if len(near) < mostNear && fold(name) != "" && strings.Contains(fold(n), fold(name)) {
			near = append(near, n)
		}
	}
	switch {
	case len(near) == 1:
		fault.Nearest = near[0]
	case len(near) > 1:
		fault.Expected = "near to it are " + quoted(near)
	default:
		fault.Expected = "without --model, the models of the list are printed"
	}
	return fault
}

// typeOf reads an entry by the model of a job.
func (l *List) typeOf(e *Entry) (*Type, source.Faults) {
	t := &Type{Kind: l.Kind, Name: e.Name, Maker: e.Maker, Date: e.Date, Line: e.At.Position().Line, Doubts: map[string]Left{}}
	var faults source.Faults
	if e.width > 0 {
		faults = append(faults, source.Fault{At: e.At, Message: fmt.Sprintf("%q: the line has more fields than the headings, so that its values may stand under wrong ones", e.Name)})
	}
	values, numbers := map[string]Value{}, map[string]float64{}
	for _, c := range l.Columns {
		x, given := e.cells[c]
		if !given || c.Holds != "" {
			continue
		}
		text, number, left, err := c.read(x)
		switch {
		case err != nil:
			faults = append(faults, source.Fault{At: x.at, Message: fmt.Sprintf("%q: %s: %v", e.Name, x.heading, err), Expected: c.taken(x)})
		case left != "":
			t.Doubts[c.Key] = Left{x.text, left}
		case c.Key != "":
			values[c.Key] = Value{c.Key, text, x.heading}
			fallthrough
		default:
			if c.numeric {
				numbers[c.name()] = number
			}
		}
	}
	if len(faults) > 0 {
		return t, faults
	}
	for _, a := range l.Agree {
		for key, left := range a.doubts(values, numbers) {
			t.Doubts[key] = left
			delete(values, key)
		}
	}
	for _, f := range l.table.Fields {
		if v, ok := values[f.Key]; ok {
			t.Values = append(t.Values, v)
		}
	}
	return t, l.load(t, e)
}

// load reads a type as a job does, which holds its values against one another.
func (l *List) load(t *Type, e *Entry) source.Faults {
	var text strings.Builder
	fmt.Fprintf(&text, "[project]\nname = \"list\"\n[[%s]]\nname = %s\n", t.Kind, job.Quote(t.Name))
	for _, v := range t.Values {
		fmt.Fprintf(&text, "%s = %s\n", v.Key, v.Text)
	}
	_, err := job.Parse("list.toml", []byte(text.String()), nil)
	var found source.Faults
	if err == nil || !errors.As(err, &found) {
		return nil
	}
	var faults source.Faults
	for _, f := range found {
		at, what := e.At, ""
		for _, c := range l.Columns {
			if x, ok := e.cells[c]; ok && c.Key != "" && f.Path == job.Join(job.Join(t.Kind, t.Name), c.Key) {
				at, what = x.at, c.taken(x)
			}
		}
		if what == "" {
			what = f.Expected
		}
		faults = append(faults, source.Fault{At: at, Message: f.Message, Expected: what})
	}
	return faults
}

// taken says how a number was read, for a fault that a wrong unit may be behind.
func (c *column) taken(x cell) string {
	if x.unit == "" {
		return ""
	}
	return fmt.Sprintf("it was read in %s: is that the unit of the column, and is the line the right one?", x.unit)
}

// read gives the value of a cell as TOML writes it, and the number in the base
// unit. left says why the key stays open where a word of the list says nothing
// that the model has a word for.
func (c *column) read(x cell) (text string, number float64, left string, err error) {
	if len(c.words) > 0 {
		value, known := c.words[fold(x.text)]
		if !known {
			return "", 0, "the list's word for it says nothing here", nil
		}
		text, err = c.field.Said(fmt.Sprint(value))
		return text, 0, "", err
	}
	if !c.numeric {
		text, err = c.field.Said(x.text)
		return text, 0, "", err
	}
	plain, err := c.number(x.text)
	if err != nil {
		return "", 0, "", err
	}
	if number, err = strconv.ParseFloat(plain, 64); err != nil {
		return "", 0, "", err
	}
	absolute := false
	if c.measured {
		if x.unit == "" {
			return "", 0, "", errors.New("neither the heading nor a line of units says the unit")
		}
		plain += " " + x.unit
		v, wrong := quantity.Parse(plain, c.dim)
		if absolute = wrong != nil; absolute { // volts per degree, which the model takes for a ratio
			if v, wrong = quantity.Parse(plain, quantity.VoltagePerTemperature); wrong != nil {
				return "", 0, "", wrong
			}
		}
		number = v.SI
	}
	if c.field != nil {
		if text, err = c.field.Said(plain); err != nil {
			return "", 0, "", err
		}
	}
	if !absolute && (c.least != nil && !quantity.AtLeast(number, *c.least) || c.most != nil && !quantity.AtMost(number, *c.most)) {
		return "", 0, "", fmt.Errorf("%s is beyond what the list can mean, %s", plain, c.span())
	}
	if absolute {
		number = math.NaN() // no ratio, and comparable with none
	}
	return text, number, "", nil
}

// number writes the number of a cell without what spreadsheets add: digits of
// noise, an exponent.
func (c *column) number(text string) (string, error) {
	x, err := strconv.ParseFloat(text, 64)
	switch {
	case strings.Contains(text, ","):
		return "", fmt.Errorf("%q: the comma may part thousands or decimals; a number with a point is expected", text)
	case err != nil || math.IsNaN(x) || math.IsInf(x, 0):
		return "", fmt.Errorf("%q is no number", text)
	case c.Times != 0 && c.Times != 1:
		x *= c.Times
	case len(text) <= 12 && !strings.ContainsAny(text, "eExXpP_+"):
		return text, nil
	}
	x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64)
	return strconv.FormatFloat(x, 'f', -1, 64), nil
}

// span says in words what bounds the description has.
func (c *column) span() string {
	switch {
	case c.Least != nil && c.Most != nil:
		return fmt.Sprintf("from %v to %v", c.Least, c.Most)
	case c.Least != nil:
		return fmt.Sprintf("at least %v", c.Least)
	}
	return fmt.Sprintf("at most %v", c.Most)
}

// doubts gives the keys that are left open since the values of a line contradict
// one another; none where they agree or one of them is not given.
func (a *agreement) doubts(values map[string]Value, numbers map[string]float64) map[string]Left {
	list := make([]float64, 0, len(a.names()))
	for _, name := range a.names() {
		x, known := numbers[name]
		if !known || math.IsNaN(x) {
			return nil
		}
		list = append(list, x)
	}
	if a.holds(list) {
		return nil
	}
	doubts := map[string]Left{}
	for _, name := range a.names() {
		if v, ok := values[name]; ok {
			doubts[name] = Left{v.Text, "the values of the line contradict one another, where is expected: " + a.Says}
		}
	}
	return doubts
}

func (a *agreement) holds(list []float64) bool {
	if len(a.Order) > 0 {
		return slices.IsSorted(list)
	}
	last := len(list) - 1
	got, is := 0.0, list[last]
	if len(a.Product) > 0 {
		got = 1
	}
	for _, x := range list[:last] {
		if len(a.Product) > 0 {
			got *= x
		} else {
			got += x
		}
	}
	return quantity.AtMost(math.Abs(got-is), a.Within*math.Abs(is))
}
