// Package calculator holds the desk calculators: the one place where a
// designer's single question ("what does this string reach on the coldest
// morning") is turned into a call of the engineering function that the checks
// run too. A calculator declares its inputs and results; reading and checking
// what was typed is done here, once, for all of them.
package calculator

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// Kind says how an input is read.
type Kind uint8

const (
	Quantity  Kind = iota // a dimensioned value, read by quantity.Parse
	Number                // a plain number
	Count                 // a whole number, zero or more
	Flag                  // yes or no
	Choice                // one of Choices
	Conductor             // a conductor size, read by quantity.ParseSize
	Text                  // free text, for small notations such as "4x10 THWN-2"
)

// Input declares one input of a calculator.
type Input struct {
	Name     string
	Meaning  string
	Kind     Kind
	Dim      quantity.Dimension // for Quantity
	Choices  []string           // for Choice
	List     bool               // comma-separated values
	Optional bool
	Default  string // what an absent optional input is taken as; "" means it stays absent
	Absent   string // what its absence is taken as, in words, where there is no default
	Least    string // the least and the most that a real job has, as a user would write them;
	Most     string // what lies outside is refused
}

// Output declares one result and the unit its number is always given in.
type Output struct {
	Name    string
	Meaning string
	Unit    string // empty for text, yes/no and plain numbers
}

// Calculator is one desk calculator.
type Calculator struct {
	Name    string
	Gives   string // one line: what it answers
	Source  string // the standard, section or paper behind it
	Inputs  []Input
	Outputs []Output
	Example []string // a worked example, as name=value
	Run     func(in *Args, tables *table.Set) (*Result, error)
}

// Item is one result.
type Item struct {
	Key   string
	Value any // float64, string or bool
	Unit  string
}

// Result is what a calculator gives back.
type Result struct {
	Items []Item
	Work  []string // the calculation with numbers put in, a line a step
	Cite  []string // sections and table rows used
	Taken []Taken  // what inputs that were left out were taken as

	system quantity.System // that of the inputs, in which Work is written
}

// Taken says what an input that was left out was taken as.
type Taken struct{ Input, As string }

// Set adds a result. v is a float64 in the declared unit, an int, a string or
// a bool.
func (r *Result) Set(key string, v any) {
	if n, ok := v.(int); ok {
		v = float64(n)
	}
	r.Items = append(r.Items, Item{Key: key, Value: v})
}

// Workf adds a line of the calculation.
func (r *Result) Workf(format string, a ...any) { r.Work = append(r.Work, fmt.Sprintf(format, a...)) }

// Number returns the numeric result named key.
func (r *Result) Number(key string) (float64, bool) {
	for _, it := range r.Items {
		if it.Key == key {
			f, ok := it.Value.(float64)
			return f, ok
		}
	}
	return 0, false
}

// Args holds the inputs of one call after they were read and checked.
type Args struct {
	values map[string]any  // float64, int, bool, string, quantity.Size, or a slice of one of these
	system quantity.System // SI where most inputs with a unit of one system are written in it
	taken  []Taken
}

// Has reports whether an optional input was given (or has a default).
func (a *Args) Has(name string) bool { _, ok := a.values[name]; return ok }

// Num returns a quantity in its dimension's base unit, or a plain number.
// An absent input is NaN, so that forgetting Has can never pass for zero.
func (a *Args) Num(name string) float64 {
	switch v := a.values[name].(type) {
	case float64:
		return v
	case int:
		return float64(v)
	}
	return math.NaN()
}

// Int returns a count; absent is 0, so guard optional counts with Has.
func (a *Args) Int(name string) int { n, _ := a.values[name].(int); return n }

// Text returns a choice or free text; absent is "".
func (a *Args) Text(name string) string { s, _ := a.values[name].(string); return s }

// Flag returns a yes/no input; absent is false.
func (a *Args) Flag(name string) bool { b, _ := a.values[name].(bool); return b }

// Size returns a conductor size.
func (a *Args) Size(name string) quantity.Size { s, _ := a.values[name].(quantity.Size); return s }

// Nums returns a list of quantities or numbers; absent is nil.
func (a *Args) Nums(name string) []float64 { v, _ := a.values[name].([]float64); return v }

// InputError is everything that is wrong with the inputs of one call.
type InputError struct {
	Calculator string
	Faults     []string
}

func (e *InputError) Error() string {
	return "calc " + e.Calculator + ": " + strings.Join(e.Faults, "\n  ")
}

// Faultf is the error a Run returns when inputs that are each well formed do
// not go together, or a value lies outside its table.
func Faultf(format string, a ...any) error {
	return &InputError{Faults: []string{fmt.Sprintf(format, a...)}}
}

// All returns every calculator sorted by name.
func All() []*Calculator {
	all := append(electricalCalculators(), structuralCalculators()...)
	sort.Slice(all, func(i, j int) bool { return all[i].Name < all[j].Name })
	return all
}

// Call reads the arguments ("name=value"), runs the calculator and puts the
// declared units on its results. Every fault of the inputs is reported at once.
func (c *Calculator) Call(arguments []string, tables *table.Set) (*Result, error) {
	in, err := c.read(arguments)
	if err != nil {
		return nil, err
	}
	r, err := c.Run(in, tables)
	if err != nil {
		if ie, ok := err.(*InputError); ok {
			ie.Calculator = c.Name
		}
		return nil, err
	}
	for i := range r.Items {
		o := c.output(r.Items[i].Key)
		if o == nil {
			return nil, fmt.Errorf("calc %s: result %q is not declared", c.Name, r.Items[i].Key)
		}
		r.Items[i].Unit = o.Unit
		if f, ok := r.Items[i].Value.(float64); ok && (math.IsNaN(f) || math.IsInf(f, 0)) {
			return nil, fmt.Errorf("calc %s: %s has no finite value for these inputs", c.Name, o.Name)
		}
	}
	for _, o := range c.Outputs {
		if !slices.ContainsFunc(r.Items, func(it Item) bool { return it.Key == o.Name }) {
			r.Items = append(r.Items, Item{Key: o.Name, Value: "none"})
		}
	}
	r.Taken = in.taken
	return r, nil
}

func (c *Calculator) output(name string) *Output {
	for i := range c.Outputs {
		if c.Outputs[i].Name == name {
			return &c.Outputs[i]
		}
	}
	return nil
}

func (c *Calculator) read(arguments []string) (*Args, error) {
	e := &InputError{Calculator: c.Name}
	fault := func(format string, a ...any) { e.Faults = append(e.Faults, fmt.Sprintf(format, a...)) }
	names := make([]string, len(c.Inputs))
	for i, in := range c.Inputs {
		names[i] = in.Name
	}
	given := map[string]string{}
	for _, arg := range arguments {
		name, value, ok := strings.Cut(arg, "=")
		name = inAnyCase(name, names)
		if !ok {
			fault("%q: expected name=value", arg)
			continue
		}
		if !contains(names, name) {
			fault("unknown input %q%s", name, quantity.DidYouMean(name, names))
			continue
		}
		if _, twice := given[name]; twice {
			fault("input %q is given twice", name)
			continue
		}
		given[name] = strings.TrimSpace(value)
	}
	args := &Args{values: map[string]any{}, system: quantity.US}
	var written [2]int
	for _, in := range c.Inputs {
		text, ok := given[in.Name]
		if !ok {
			if !in.Optional {
				fault("missing input %q (%s)", in.Name, in.Meaning)
			}
			args.taken = append(args.taken, Taken{in.Name, in.TakenAs()})
			if in.Default == "" {
				continue
			}
			text = in.Default
		}
		v, err := in.value(text)
		if err != nil {
			fault("%s: %v", in.Name, err)
			continue
		}
		args.values[in.Name] = v
		if q, err := quantity.Parse(text, in.Dim); ok && err == nil && in.Kind == Quantity && in.Dim != quantity.Temperature && in.Dim != quantity.TemperatureDifference {
			if system, told := q.System(); told {
				written[system]++
			}
		}
	}
	if written[quantity.SI] > written[quantity.US] {
		args.system = quantity.SI
	}
	if len(e.Faults) > 0 {
		return nil, e
	}
	return args, nil
}

func (in Input) value(text string) (any, error) {
	if !in.List {
		return in.one(text)
	}
	var nums []float64
	for _, part := range strings.Split(text, ",") {
		v, err := in.one(strings.TrimSpace(part))
		if err != nil {
			return nil, err
		}
		switch v := v.(type) {
		case float64:
			nums = append(nums, v)
		case int:
			nums = append(nums, float64(v))
		}
	}
	return nums, nil
}

func (in Input) one(text string) (any, error) {
	switch in.Kind {
	case Quantity:
		v, err := quantity.Parse(text, in.Dim)
		if err != nil {
			return nil, err
		}
		return v.SI, in.within(v.SI, text)
	case Number:
		f, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(f) || math.IsInf(f, 0) {
			return nil, fmt.Errorf("%q is not a number", text)
		}
		return f, in.within(f, text)
	case Count:
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 {
			return nil, fmt.Errorf("%q is not a whole number, zero or more", text)
		}
		return n, in.within(float64(n), text)
	case Flag:
		switch strings.ToLower(text) {
		case "yes", "true":
			return true, nil
		case "no", "false":
			return false, nil
		}
		return nil, fmt.Errorf("%q: expected yes or no", text)
	case Choice:
		if word := inAnyCase(text, in.Choices); contains(in.Choices, word) {
			return word, nil
		}
		return nil, fmt.Errorf("%q: expected one of %s%s", text, strings.Join(in.Choices, ", "), quantity.DidYouMean(text, in.Choices))
	case Conductor:
		return quantity.ParseSize(text)
	}
	return text, nil
}

// TakenAs says what the absence of an optional input is taken as.
func (in Input) TakenAs() string {
	if in.Default != "" {
		return in.Default
	}
	return in.Absent
}

// Expected says which values an input takes, "" where any.
func (in Input) Expected() string {
	if in.Least == "" {
		return ""
	}
	return in.Least + " to " + in.Most
}

// within refuses a value that no real job has.
func (in Input) within(v float64, text string) error {
	if in.Least == "" {
		return nil
	}
	least, err1 := in.bound(in.Least)
	most, err2 := in.bound(in.Most)
	if err := errors.Join(err1, err2); err != nil {
		return err
	}
	if quantity.AtLeast(v, least) && quantity.AtMost(v, most) {
		return nil
	}
	return fmt.Errorf("%s is out of range: %s is expected", text, in.Expected())
}

func (in Input) bound(text string) (float64, error) {
	if in.Kind == Quantity {
		v, err := quantity.Parse(text, in.Dim)
		return v.SI, err
	}
	return strconv.ParseFloat(text, 64)
}

// inAnyCase gives the word of a list that differs in case alone.
func inAnyCase(text string, words []string) string {
	for _, w := range words {
		if strings.EqualFold(w, strings.TrimSpace(text)) {
			return w
		}
	}
	return text
}

func contains(list []string, s string) bool {
	for _, l := range list {
		if l == s {
			return true
		}
	}
	return false
}

// JSON gives the result in the form that the command prints.
func (r *Result) JSON(name string) ([]byte, error) {
	type quantityJSON struct {
		Value float64 `json:"value"`
		Unit  string  `json:"unit"`
	}
	results := map[string]any{}
	for _, it := range r.Items {
		if f, ok := it.Value.(float64); ok {
			results[it.Key] = quantityJSON{f, it.Unit}
			continue
		}
		results[it.Key] = it.Value
	}
	out := struct {
		Calculator string            `json:"calculator"`
		Results    map[string]any    `json:"results"`
		Work       []string          `json:"work"`
		Cite       []string          `json:"cite"`
		Taken      map[string]string `json:"taken"`
	}{name, results, r.Work, r.Cite, map[string]string{}}
	for _, t := range r.Taken {
		out.Taken[t.Input] = t.As
	}
	if out.Work == nil {
		out.Work = []string{}
	}
	if out.Cite == nil {
		out.Cite = []string{}
	}
	return json.MarshalIndent(out, "", "  ")
}
