package terms

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
)

// Value is what a term is for one subject.
type Value struct {
	V     any                            // nil when undetermined
	Needs []Need                         // what is missing; not empty exactly when undetermined
	At    source.Span                    // the value of the job that drives it; zero if none
	Unit  string                         // the unit it was written in
	Work  func(quantity.System) []string // the calculation with numbers put in; nil if none
	Refs  []table.Ref
	// Stated is, for a given term, whether the job states it.
	Stated bool

	by     *Call      // the computation that gave it
	filled bool       // it answers for a given value that the job leaves out
	keys   []Read     // keys of the job that it read itself
	inputs []*Value   // other values that it read
	fills  []*Filling // what it rests on that the job leaves out and something else answers for
}

// Filling is how something answers for a key that the job leaves out.
type Filling struct {
	Key     string
	At      source.Span                    // where the key belongs
	V       any                            // what answers for it, as a Value has it
	Assumed bool                           // the value is a safe bound, and not what this job has
	Work    func(quantity.System) []string // how it came about; see Fill
}

// Lines tells how it came about, a line a step.
func (f *Filling) Lines(sys quantity.System) []string {
	how := "derived"
	if f.Assumed {
		how = "assumed"
	}
	var out []string
	for _, line := range f.Work(sys) {
		out = append(out, how+": "+line)
	}
	return out
}

// FillingsOf gives what values rest on that the job leaves out, each once.
func FillingsOf(values ...*Value) []*Filling {
	var out []*Filling
	seen := map[*Filling]bool{}
	for _, v := range values {
		for _, f := range v.fills {
			if !seen[f] {
				seen[f] = true
				out = append(out, f)
			}
		}
	}
	return out
}

// Sofar is what a computation that goes on rests on at this time.
func (v *Value) Sofar() *Value {
	now := *v
	return &now
}

// Fills reports whether the value itself answers for a key that is left out.
func (v *Value) Fills() bool { return v.filled }

// Read is one key of the job that a computation read, whether or not the job
// states it.
type Read struct {
	Key string
	At  source.Span // where its value stands; zero where it is left out
}

// Given gives the key of the job whose stated value it is; false for one that is
// computed from others or fills in for a key.
func (v *Value) Given() (key string, given bool) { return v.given() }

// given gives the key of the job whose stated value it is; false for one that is
// computed from others or fills in for a key.
func (v *Value) given() (key string, given bool) {
	if !v.Stated || len(v.inputs) > 0 || len(v.keys) != 1 {
		return "", false
	}
	return v.keys[0].Key, true
}

// Plain reports whether a known value rests on nothing that the job may or may not
// state, such as the array that a foot is of.
func (v *Value) Plain() bool {
	return len(v.keys)+len(v.inputs)+len(v.fills)+len(v.Refs)+len(v.Needs) == 0
}

// Assumes reports whether the value rests on a bound that stands in for what the
// job leaves out.
func (v *Value) Assumes() bool {
	return slices.ContainsFunc(v.fills, func(f *Filling) bool { return f.Assumed })
}

// Like is the value of another computation that read the same but for some values,
// in whose places it read others.
func (v *Value) Like(those, others []*Value) *Value {
	out := &Value{V: v.V, keys: v.keys, inputs: slices.Clone(v.inputs)}
	for i, in := range out.inputs {
		if n := slices.Index(those, in); n >= 0 {
			in = others[n]
			out.inputs[i] = in
		}
		for _, f := range in.fills {
			if !slices.Contains(out.fills, f) {
				out.fills = append(out.fills, f)
			}
		}
	}
	return out
}

// Reads gives every key that the value rests on; see ReadsOf.
func (v *Value) Reads() []Read { return ReadsOf(v) }

// ReadsOf gives every key that values rest on, each once: those a value read
// itself before those of its inputs.
func ReadsOf(values ...*Value) []Read {
	var out []Read
	seen, walked := map[string]bool{}, map[*Value]bool{}
	var walk func(v *Value)
	walk = func(v *Value) {
		if walked[v] {
			return
		}
		walked[v] = true
		for _, r := range v.keys {
			if !seen[r.Key] {
				seen[r.Key] = true
				out = append(out, r)
			}
		}
		for _, in := range v.inputs {
			walk(in)
		}
	}
	for _, v := range values {
		walk(v)
	}
	return out
}

// Need is one thing that is missing.
type Need struct {
	Key string      // the missing key, or "" when the reason is another
	Or  []string    // further missing keys, of which any would do in its place
	Why string      // the reason when it is not a missing key
	At  source.Span // where it belongs

	// Filled says of a key that something else of the job would answer for it, but
	// for a reason that is a need of its own.
	Filled bool
}

// Keys are the missing keys of which one is enough; none for another reason.
func (n Need) Keys() []string {
	if n.Key == "" || n.Why != "" {
		return nil
	}
	return append([]string{n.Key}, n.Or...)
}

// String gives the need in words.
func (n Need) String() string {
	if n.Why != "" {
		return n.Why
	}
	return strings.Join(n.Keys(), " or ")
}

// Call is one computation: it reads inputs and remembers which were missing,
// where the read ones stand, and how the result came about.
type Call struct {
	m       *Model
	subject *Subject
	what    string // the term or analysis that is computed
	by      any    // the further key of an analysis
	parent  *Call
	out     Value
	whole   *Call              // the computation that it is a part of; nil for a whole one
	cited   map[*Value]bool    // whose table rows the result rests on already
	assumed bool               // see Assume
	filled  map[*Filling]bool  // what the result rests on already of what answers for keys
	needed  map[[2]string]bool // the keys and reasons of the needs so far
}

// within reports whether a computation is already under way further up.
func (c *Call) within(s *Subject, what string) bool {
	for ; c != nil; c = c.parent {
		if c.subject == s && c.what == what {
			return true
		}
	}
	return false
}

// compute runs a term or an analysis. A term that is not finite, or has no
// answer at all, is undetermined; one that is undetermined has no value.
func (c *Call) compute(t *Term) {
	v := t.compute(c, c.subject.data)
	if t.shared {
		c.out.V = v
		return
	}
	if x, ok := v.(float64); ok && (math.IsNaN(x) || math.IsInf(x, 0)) && !c.Stop() {
		c.Fail("%s of %s has no finite value", t.Name, c.subject.Label())
	}
	if v == nil && !c.Stop() {
		c.Fail("%s of %s could not be computed", t.Name, c.subject.Label())
	}
	if !c.Stop() {
		c.out.V = v
	}
}

// Read computes a term of a subject for this computation, which remembers it.
func (c *Call) Read(s *Subject, t *Term) *Value {
	v := c.m.value(s, t, c)
	c.note(v)
	return v
}

// List gives all things of a kind, in the order of the job.
func (c *Call) List(k *Kind) []*Subject { return c.things(k).list }

// Subject is the thing that the computation is about.
func (c *Call) Subject() *Subject { return c.subject }

// Rest is what the computation rests on so far.
func (c *Call) Rest() *Value { return &c.out }

func (c *Call) note(v *Value) {
	if n := len(c.out.inputs); n > 0 && c.out.inputs[n-1] == v {
		return
	}
	c.out.inputs = append(c.out.inputs, v)
	if len(v.fills) > 0 {
		c.rest(v.fills)
	}
}

// rest notes fillings that a computation rests on, and so the one that it is a
// part of.
func (c *Call) rest(on []*Filling) {
	for ; c != nil; c = c.whole {
		if c.filled == nil {
			c.filled = map[*Filling]bool{}
		}
		for _, f := range on {
			if !c.filled[f] {
				c.filled[f] = true
				c.out.fills = append(c.out.fills, f)
			}
		}
	}
}

// Assume says of a value that fills in for a key (see Fill) that it is not what
// this job has but a bound: no value that the key may have is less safe.
func (c *Call) Assume() { c.assumed = true }

// take passes on what another value needs and rests on; false where it is
// undetermined.
func (c *Call) take(v *Value) bool {
	c.Need(v.Needs...)
	if len(v.Needs) > 0 {
		return false
	}
	if len(v.Refs) > 0 && !c.cited[v] {
		if c.cited == nil {
			c.cited = map[*Value]bool{}
		}
		c.cited[v] = true
		c.Cite(v.Refs...)
	}
	return true
}

// things are all things of a kind.
func (c *Call) things(k *Kind) *things {
	t := c.m.things(k, c)
	c.note(&t.value)
	return t
}

// Job is the job as its model has it; values are read with Get, Q and Stated,
// so that the computation remembers them.
func (c *Call) Job() *job.Job { return c.m.Job }

// Model is the model that the computation belongs to.
func (c *Call) Model() *Model { return c.m }

// Tables are the code tables.
func (c *Call) Tables() *table.Set { return c.m.Tables }

// Name is the name of the thing that is computed for.
func (c *Call) Name() string { return c.subject.Name }

// Part begins a part of the computation that keeps count of what it needs by
// itself; what it reads the whole computation rests on.
func (c *Call) Part() *Call {
	part := &Call{m: c.m, subject: c.subject, what: c.what, parent: c, whole: c}
	c.out.inputs = append(c.out.inputs, &part.out)
	return part
}

// Stop reports whether an input so far was missing.
func (c *Call) Stop() bool { return len(c.out.Needs) > 0 }

// Needs lists what is missing so far.
func (c *Call) Needs() []Need { return c.out.Needs }

// Need adds what is missing, each once.
func (c *Call) Need(needs ...Need) {
	if c.needed == nil {
		c.needed = make(map[[2]string]bool, len(needs))
	}
	for _, n := range needs {
		if what := [2]string{strings.Join(n.Keys(), "\n"), n.Why}; !c.needed[what] {
			c.needed[what] = true
			c.out.Needs = append(c.out.Needs, n)
		}
	}
}

// Fail makes the result undetermined for a reason other than a missing key.
func (c *Call) Fail(format string, a ...any) {
	c.Need(Need{Why: fmt.Sprintf(format, a...), At: c.subject.At})
}

// Err is Fail with an error of an engineering package.
func (c *Call) Err(err error) { c.Fail("%v", err) }

// Missing notes a key that the job leaves out.
func (c *Call) Missing(key string, at source.Span) { c.Need(Need{Key: key, At: at}) }

// Drive says which value of the job the result hangs on most, for the place of
// a finding. The first call wins.
func (c *Call) Drive(at source.Span) {
	if c.out.At.File == nil {
		c.out.At = at
	}
}

// Explain attaches the worked calculation and the table rows it used.
func (c *Call) Explain(work func(quantity.System) []string, refs []table.Ref) {
	c.out.Work = work
	c.Cite(refs...)
}

// Cite attaches table rows that the result rests on.
func (c *Call) Cite(refs ...table.Ref) { c.out.Refs = c.m.rows.both(c.out.Refs, refs) }

// Get reads a given value, or what the model says that leaving it out means.
// Otherwise the key is noted as missing and the zero value returned, so callers
// look at Stop before they compute.
func Get[T any](c *Call, g job.Given[T]) T {
	if !Stated(c, g) && !g.Default && g.Key != "" {
		c.Missing(cmp.Or(g.From, g.Key), g.At)
	}
	return g.Value
}

// Q reads a given quantity in its base unit.
func (c *Call) Q(g job.Quantity) float64 { return Get(c, g).SI }

// Peek reads a given value without needing it: the zero value where it is left
// out and the model has no default for it.
func Peek[T any](c *Call, g job.Given[T]) T {
	Stated(c, g)
	return g.Value
}

// Stated reports whether the job states a value; the key counts as read.
func Stated[T any](c *Call, g job.Given[T]) bool {
	if g.Key == "" { // read from a file beside the job, whose key is another value
		return g.Known
	}
	r := Read{Key: g.Key}
	if g.Known {
		r.At = g.At
	}
	c.out.keys = append(c.out.keys, r)
	if g.From != "" {
		c.out.keys = append(c.out.keys, Read{Key: g.From, At: g.At})
	}
	return g.Known
}

// AnyStated reports whether the job states any value of a table besides some keys.
func AnyStated[T any](c *Call, table *T, besides ...string) bool {
	v := reflect.ValueOf(table).Elem()
	stated := false
	for i := range v.NumField() {
		f := v.Field(i)
		if _, isGiven := f.Type().FieldByName("Known"); !isGiven {
			continue
		}
		key := f.FieldByName("Key").String()
		if slices.Contains(besides, key) {
			continue
		}
		c.out.keys = append(c.out.keys, Read{Key: key})
		stated = stated || f.FieldByName("Known").Bool()
	}
	return stated
}

// Seek follows a reference without needing it: false where it is left out.
func Seek[T any](c *Call, k KindOf[T], g job.Text) (*T, bool) {
	if !Stated(c, g) {
		return nil, false
	}
	x := find(c, k, g.Value)
	return x, x != nil
}

// Follow follows a reference that is needed. One that leads nowhere is missing,
// and a thing that says nothing stands in, so that reading can go on.
func Follow[T any](c *Call, k KindOf[T], g job.Text) *T {
	x, ok := Seek(c, k, g)
	if !ok {
		c.Missing(g.Key, g.At)
		return new(T)
	}
	return x
}

// Refs follows a list of references, in its order.
func Refs[T any](c *Call, k KindOf[T], g job.Texts) []*T {
	var out []*T
	for _, name := range Get(c, g) {
		if x := find(c, k, name); x != nil {
			out = append(out, x)
		}
	}
	return out
}

// Pointing lists the things of a kind whose reference names something, in the
// order of the job.
func Pointing[T any](c *Call, k KindOf[T], ref func(*T) job.Text, name string) []*T {
	var out []*T
	for _, s := range c.things(k.kind).list {
		if x := s.data.(*T); Stated(c, ref(x)) && ref(x).Value == name {
			out = append(out, x)
		}
	}
	return out
}

func find[T any](c *Call, k KindOf[T], name string) *T {
	if s := c.named(k.kind, name); s != nil {
		return s.data.(*T)
	}
	return nil
}

// named is the thing of a kind with a name, or nil.
func (c *Call) named(k *Kind, name string) *Subject {
	return c.things(k).named[name]
}

// Drive is the method of that name for a value of the job; its key counts as
// read.
func Drive[T any](c *Call, g job.Given[T]) {
	Stated(c, g)
	c.Drive(g.At)
}
