package terms

import (
	"fmt"
	"math"
	"strings"
	"sync"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
)

// Model is one job seen through the vocabulary. It is made for one review.
// Terms are memoised; the lock makes a model safe for the workers of a review.
type Model struct {
	Job    *job.Job
	Tables *table.Set

	mu       sync.Mutex
	subjects map[string][]*Subject // by kind
	byData   map[any]*Subject      // the subject that stands for a job part
	cache    map[string]any        // analyses shared by many terms, by name
}

// New makes the model of a job.
func New(j *job.Job, tables *table.Set) *Model {
	return &Model{Job: j, Tables: tables, subjects: map[string][]*Subject{}, byData: map[any]*Subject{}, cache: map[string]any{}}
}

// Subject is one thing of a job.
type Subject struct {
	Kind *Kind
	Name string      // its own name, "" for a thing there is one of
	Key  string      // its key in the job, "array.south"
	At   source.Span // its place in the job file

	data  any    // pointer to the job part or analysis it stands for
	needs []Need // why nothing of it can be known; see unknownSubject
	mu    sync.Mutex
	terms map[string]*Value
}

// unknownSubject stands for things that cannot be listed because something is
// missing (the feet of an array without spacing, say): each of its terms is
// undetermined with the given needs, so that no check disappears with them.
func unknownSubject(k *Kind, name, key string, at source.Span, needs []Need) *Subject {
	return &Subject{Kind: k, Name: name, Key: key, At: at, needs: needs, data: new(int)}
}

// Label names the subject in a report, its kind in plain words: "array south",
// "module type M400".
func (s *Subject) Label() string {
	kind := strings.ReplaceAll(s.Kind.Name, "_", " ")
	if s.Name == "" {
		return kind
	}
	return kind + " " + s.Name
}

// Value is what a term is for one subject.
type Value struct {
	V     any                            // nil when undetermined
	Needs []Need                         // what is missing; not empty exactly when undetermined
	At    source.Span                    // the value of the job that drives it; zero if none
	Unit  string                         // the unit it was written in
	Work  func(quantity.System) []string // the calculation with numbers put in; nil if none
	Refs  []table.Ref
	Reads []source.Span // further places that contribute
}

// Need is one thing that is missing.
type Need struct {
	Key string      // the missing key, or "" when the reason is another
	Why string      // the reason when it is not a missing key
	At  source.Span // where it belongs
}

// String gives the need in words.
func (n Need) String() string {
	if n.Why != "" {
		return n.Why
	}
	return n.Key
}

// Subjects returns every thing of a kind in the order of the job.
func (m *Model) Subjects(kind string) []*Subject {
	m.mu.Lock()
	list, ok := m.subjects[kind]
	m.mu.Unlock()
	if ok {
		return list
	}
	k := kinds[kind]
	if k == nil || k.all == nil {
		return nil
	}
	list = k.all(m)
	m.mu.Lock()
	defer m.mu.Unlock()
	if prior, ok := m.subjects[kind]; ok {
		return prior // another worker was first; keep one identity for each thing
	}
	m.subjects[kind] = list
	for _, s := range list {
		m.byData[s.data] = s
	}
	return list
}

// subjectOf returns the subject that stands for a job part, so that a thing
// reached by two ways is computed once.
func (m *Model) subjectOf(kind string, data any) *Subject {
	m.Subjects(kind)
	return m.subjectFor(data, func() *Subject { return &Subject{Kind: kinds[kind]} })
}

// subjectFor returns the subject that stands for a job part, made whole before
// another worker can see it.
func (m *Model) subjectFor(data any, create func() *Subject) *Subject {
	m.mu.Lock()
	defer m.mu.Unlock()
	if s := m.byData[data]; s != nil {
		return s
	}
	s := create()
	s.data = data
	m.byData[data] = s
	return s
}

// Term computes a term of a subject, once. An unknown name is a defect of the
// caller: the codebook refuses such a name when a rule is loaded.
func (m *Model) Term(s *Subject, name string) *Value { return m.term(s, name, nil) }

func (m *Model) term(s *Subject, name string, from *Call) *Value {
	t := s.Kind.terms[name]
	if t == nil {
		panic(fmt.Sprintf("terms: %s has no term %q", s.Kind.Name, name))
	}
	if s.needs != nil {
		return &Value{Needs: s.needs}
	}
	s.mu.Lock()
	v, ok := s.terms[name]
	s.mu.Unlock()
	if ok {
		return v
	}
	for c := from; c != nil; c = c.parent {
		if c.subject == s && c.term == t {
			return &Value{Needs: []Need{{Why: fmt.Sprintf("%s of %s depends on itself", name, s.Label()), At: s.At}}}
		}
	}
	c := &Call{m: m, subject: s, term: t, parent: from}
	v = c.run(t, s)
	s.mu.Lock()
	defer s.mu.Unlock()
	if prior, ok := s.terms[name]; ok {
		return prior
	}
	if s.terms == nil {
		s.terms = map[string]*Value{}
	}
	s.terms[name] = v
	return v
}

// Call is the computation of one derived term: it reads inputs and remembers
// which were missing, where the read ones stand, and how the result came about.
type Call struct {
	m       *Model
	subject *Subject
	term    *Term
	parent  *Call
	out     Value
}

func (c *Call) run(t *Term, s *Subject) *Value {
	v := t.compute(c, s.data)
	if f, ok := v.(float64); ok && (math.IsNaN(f) || math.IsInf(f, 0)) {
		c.Fail("%s of %s has no finite value", t.Name, s.Label())
	}
	if len(c.out.Needs) == 0 {
		if v == nil {
			c.Fail("%s of %s could not be computed", t.Name, s.Label())
		} else {
			c.out.V = v
		}
	}
	return &c.out
}

// Stop reports whether an input so far was missing.
func (c *Call) Stop() bool { return len(c.out.Needs) > 0 }

// Fail makes the term undetermined for a reason other than a missing key.
func (c *Call) Fail(format string, a ...any) any {
	c.out.Needs = append(c.out.Needs, Need{Why: fmt.Sprintf(format, a...), At: c.subject.At})
	return nil
}

// Err is Fail with an error of an engineering package.
func (c *Call) Err(err error) any { return c.Fail("%v", err) }

// Missing notes a key that the job leaves out.
func (c *Call) Missing(key string, at source.Span) {
	for _, n := range c.out.Needs {
		if n.Key == key {
			return
		}
	}
	c.out.Needs = append(c.out.Needs, Need{Key: key, At: at})
}

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
	c.out.Refs = append(c.out.Refs, refs...)
}

// Get reads a given value; when it is left out the key is noted and the zero
// value returned, so callers look at Stop before they compute.
func Get[T any](c *Call, g job.Given[T]) T {
	if !g.Known {
		c.Missing(g.Key, g.At)
	} else {
		c.out.Reads = append(c.out.Reads, g.At)
	}
	return g.Value
}

// Q reads a given quantity in its base unit.
func (c *Call) Q(g job.Quantity) float64 { return Get(c, g).SI }

// Of reads a term of another subject. A missing one passes its needs on.
func Of[T any](c *Call, s *Subject, name string) T {
	var zero T
	if s == nil {
		return zero
	}
	v := c.m.term(s, name, c)
	if len(v.Needs) > 0 {
		for _, n := range v.Needs {
			if n.Key != "" {
				c.Missing(n.Key, n.At)
			} else {
				c.out.Needs = append(c.out.Needs, n)
			}
		}
		return zero
	}
	c.out.Refs = append(c.out.Refs, v.Refs...)
	x, ok := v.V.(T)
	if !ok {
		panic(fmt.Sprintf("terms: %s.%s is %T, not %T", s.Kind.Name, name, v.V, zero))
	}
	return x
}

// Self reads another term of the same subject.
func Self[T any](c *Call, name string) T { return Of[T](c, c.subject, name) }

// Subject returns the subject that stands for a job part, for use with Of.
func (c *Call) Subject(kind string, data any) *Subject { return c.m.subjectOf(kind, data) }

// shared computes an analysis once for a model.
func shared[T any](m *Model, name string, f func() T) T {
	m.mu.Lock()
	if v, ok := m.cache[name]; ok {
		m.mu.Unlock()
		return v.(T)
	}
	m.mu.Unlock()
	v := f()
	m.mu.Lock()
	defer m.mu.Unlock()
	if prior, ok := m.cache[name]; ok {
		return prior.(T)
	}
	m.cache[name] = v
	return v
}
