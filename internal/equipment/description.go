package equipment

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Description says what a list has in which column.
type Description struct {
	Name string // of its file, without the ending
	contents

	table *job.Table // of the kind
}

// contents is a description as TOML gives it.
type contents struct {
	Title    string            `toml:"title"`     // what it is the list of
	Kind     string            `toml:"kind"`      // the list of a job that its entries belong to: "module_type"
	NotGiven []string          `toml:"not_given"` // words that say that there is no value
	Apart    []string          `toml:"apart"`     // keys that tell entries of one model number apart, and stand in their names
	Units    map[string]string `toml:"units"`     // spellings of units beside those of the trade
	Columns  []*column         `toml:"column"`
	Agree    []*agreement      `toml:"agree"`
}

// column is one column of a list: the model number, the maker, a date, a key of
// the model, or a figure that the model has no key for and that is held against
// others.
type column struct {
	Heading   []string       `toml:"heading"` // spellings
	Holds     string         `toml:"holds"`   // "model", "maker" or "date"
	Key       string         `toml:"key"`
	Figure    string         `toml:"figure"`
	Dimension string         `toml:"dimension"` // of a figure; "" for a plain number
	Unit      string         `toml:"unit"`      // where neither the heading nor a line of units says it
	Times     float64        `toml:"times"`     // by which a number is multiplied, as -1 where a list leaves out a sign; 0 for 1
	Least     any            `toml:"least"`     // beyond them the unit cannot be the one stated
	Most      any            `toml:"most"`
	Words     map[string]any `toml:"words"`  // values of words of the list
	Needed    bool           `toml:"needed"` // whether the list is told by it

	field       *job.Field // of a key
	dim         quantity.Dimension
	measured    bool // it has a dimension, and units
	numeric     bool // its cells are numbers
	least, most *float64
	words       map[string]any // folded
	headings    []string       // folded
}

// agreement is what the values of a line must keep to. Where they do not, the
// keys are left open.
type agreement struct {
	Says    string   `toml:"says"`
	Product []string `toml:"product"`
	Sum     []string `toml:"sum"`
	Is      string   `toml:"is"`
	Within  float64  `toml:"within"` // of what it is
	Order   []string `toml:"order"`  // from the lesser to the greater
}

// names lists the keys and figures that an agreement is about.
func (a *agreement) names() []string {
	list := slices.Concat(a.Product, a.Sum, a.Order)
	if a.Is != "" {
		list = append(list, a.Is)
	}
	return list
}

// name is what a column is called in an agreement.
func (c *column) name() string { return c.Key + c.Figure }

// Folder is where the descriptions of the program stand among its rules.
const Folder = "lists/equipment"

// Descriptions reads those of a folder.
func Descriptions(fsys fs.FS, folder string) ([]*Description, error) {
	names, err := fs.Glob(fsys, path.Join(folder, "*.toml"))
	if err != nil {
		return nil, err
	}
	var out []*Description
	var errs []error
	for _, name := range names {
		text, err := fs.ReadFile(fsys, name)
		if err != nil {
			return nil, err
		}
		d, err := Describe(name, text)
		out, errs = append(out, d), append(errs, err)
	}
	return out, errors.Join(errs...)
}

// Describe reads a description. The error is source.Faults with every fault.
func Describe(name string, text []byte) (*Description, error) {
	f := source.NewFile(name, text)
	index, err := source.NewIndex(f)
	if err != nil {
		return nil, err
	}
	d := &Description{Name: strings.TrimSuffix(path.Base(strings.ReplaceAll(name, `\`, "/")), ".toml")}
	meta, err := toml.Decode(string(f.Text), &d.contents)
	if err != nil {
		return nil, source.Faults{{At: f.Start(), Message: "the description of a list cannot be read: " + strings.TrimPrefix(err.Error(), "toml: ")}}
	}
	r := describing{d: d, index: index, start: f.Start()}
	for _, key := range meta.Undecoded() {
		r.fault("", "unknown key %q in a description of a list", key.String())
	}
	r.whole()
	return d, r.faults.Err()
}

// describing holds a description against the model of a job.
type describing struct {
	d      *Description
	index  *source.Index
	start  source.Span
	faults source.Faults
}

func (r *describing) fault(at, message string, a ...any) {
	place := r.start
	if p := r.index.Of(at).Best(); p.Known() {
		place = p
	}
	r.faults = append(r.faults, source.Fault{At: place, Message: fmt.Sprintf(message, a...)})
}

func (r *describing) whole() {
	d := r.d
	kinds := job.EquipmentKinds()
	if !slices.Contains(kinds, d.Kind) {
		r.fault("kind", "kind: %q is none of %s%s", d.Kind, strings.Join(kinds, ", "), quantity.DidYouMean(d.Kind, kinds))
		return
	}
	if d.Title == "" {
		r.fault("title", "title: what it is the list of is expected")
	}
	f, _ := job.Model().Field(d.Kind)
	d.table = f.Table
	for i, word := range d.NotGiven {
		d.NotGiven[i] = fold(word)
	}
	units := map[string]string{}
	for text, means := range d.Units {
		units[fold(text)] = means
	}
	d.Units = units
	names, headings, models := map[string]bool{}, map[string]bool{}, 0
	for i, c := range d.Columns {
		at := source.Item("column", i)
		r.column(c, at)
		if c.name() != "" && names[c.name()] {
			r.fault(at, "%s: a column for it stands above", c.name())
		}
		names[c.name()] = true
		for _, h := range c.headings {
			if headings[h] {
				r.fault(source.Key(at, "heading"), "the heading %q is that of another column too", h)
			}
			headings[h] = true
		}
		if c.Holds == "model" {
			models++
		}
	}
	if models != 1 {
		r.fault("", `one column that holds = "model" is expected, found %d`, models)
	}
	for i, key := range d.Apart {
		if c := d.column(key); c == nil || c.Key == "" {
			r.fault(source.Item("apart", i), "apart: no column has the key %q", key)
		}
	}
	for i, a := range d.Agree {
		r.agreement(a, source.Item("agree", i))
	}
}

// column holds one against the model.
func (r *describing) column(c *column, at string) {
	said := 0
	for _, text := range []string{c.Holds, c.Key, c.Figure} {
		if text != "" {
			said++
		}
	}
	switch {
	case said != 1:
		r.fault(at, "a column has one of holds, key and figure")
		return
	case len(c.Heading) == 0:
		r.fault(at, "%s: a heading is expected", c.name()+c.Holds)
	}
	for _, h := range c.Heading {
		c.headings = append(c.headings, fold(h))
	}
	switch {
	case c.Holds != "":
		if holds := []string{"model", "maker", "date"}; !slices.Contains(holds, c.Holds) {
			r.fault(source.Key(at, "holds"), "holds: %q is none of %s", c.Holds, strings.Join(holds, ", "))
		}
		if c.Holds == "model" {
			c.Needed = true
		}
	case c.Key != "":
		f, known := r.d.table.Field(c.Key)
		if !known || c.Key == "name" || f.Table != nil {
			r.fault(source.Key(at, "key"), "key: %s has no key %q that a list can give%s", r.d.Kind, c.Key, quantity.DidYouMean(c.Key, r.d.table.Keys()))
			return
		}
		c.field = f
		c.dim, c.measured = f.Dim, f.Kind == job.KindQuantity
		c.numeric = c.measured || f.Kind == job.KindNumber || f.Kind == job.KindCount
	default:
		c.numeric = true
		if c.Dimension != "" {
			if c.dim, c.measured = quantity.DimensionByName(c.Dimension); !c.measured {
				r.fault(source.Key(at, "dimension"), "dimension: no dimension is named %q", c.Dimension)
			}
		}
	}
	if c.Unit != "" {
		if _, ok := r.d.unit(c, c.Unit); !ok {
			r.fault(source.Key(at, "unit"), "unit: %q is no unit of %s", c.Unit, c.name())
		}
	}
	c.least, c.most = r.bound(c, c.Least, source.Key(at, "least")), r.bound(c, c.Most, source.Key(at, "most"))
	c.words = map[string]any{}
	for word, value := range c.Words {
		c.words[fold(word)] = value
		if c.field == nil {
			r.fault(source.Key(at, "words"), "words: only a key has words")
		} else if _, err := c.field.Said(fmt.Sprint(value)); err != nil {
			r.fault(source.Key(at, "words"), "words: %q: %v", word, err)
		}
	}
}

// bound reads a bound in the base unit; nil where there is none.
func (r *describing) bound(c *column, bound any, at string) *float64 {
	switch x := bound.(type) {
	case nil:
		return nil
	case int64:
		if !c.measured {
			v := float64(x)
			return &v
		}
	case float64:
		if !c.measured {
			return &x
		}
	case string:
		if v, err := quantity.Parse(x, c.dim); c.measured && err == nil {
			return &v.SI
		}
	}
	what := "a number"
	if c.measured {
		what = c.dim.String() + " in quotes with its unit"
	}
	r.fault(at, "%s is expected", what)
	return nil
}

func (r *describing) agreement(a *agreement, at string) {
	said := 0
	for _, list := range [][]string{a.Product, a.Sum, a.Order} {
		if len(list) > 0 {
			said++
		}
	}
	if said != 1 || a.Says == "" || (len(a.Order) > 0) != (a.Is == "") || len(a.Order) == 1 {
		r.fault(at, "an agreement says what it is and has product or sum, with is and within, or order")
	}
	if a.Is != "" && (a.Within <= 0 || a.Within >= 1) {
		r.fault(source.Key(at, "within"), "within: a share above 0 and below 1 is expected")
	}
	for _, name := range a.names() {
		if c := r.d.column(name); c == nil || !c.numeric {
			r.fault(at, "no column gives the number %q", name)
		}
	}
}

// column finds the one of a key or figure; nil for none.
func (d *Description) column(name string) *column {
	for _, c := range d.Columns {
		if c.name() == name && name != "" {
			return c
		}
	}
	return nil
}

// unit gives a unit of a column as package quantity reads it; false for what is
// none of its dimension.
func (d *Description) unit(c *column, text string) (string, bool) {
	text = clean(text)
	if means, ok := d.Units[fold(text)]; ok {
		text = means
	}
	if !c.measured || text == "" {
		return "", false
	}
	if _, err := quantity.Parse("1 "+text, c.dim); err == nil {
		return text, true
	}
	if c.field != nil && c.field.Rated != "" {
		if _, err := quantity.Parse("1 "+text, quantity.VoltagePerTemperature); err == nil {
			return text, true
		}
	}
	return "", false
}

// given reports whether a cell has a value.
func (d *Description) given(cell string) bool {
	return cell != "" && !slices.Contains(d.NotGiven, fold(cell))
}
