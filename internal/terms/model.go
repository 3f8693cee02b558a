package terms

import (
	"fmt"
	"strings"
	"sync"
	"sync/atomic"

	"plumbrule/internal/job"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
)

// Model is one job seen through the vocabulary. It is made for one review.
// Values are kept; locks make a model safe for the workers of a review.
type Model struct {
	Job    *job.Job
	Tables *table.Set

	mu       sync.Mutex
	lists    map[*Kind]*things
	byData   map[any]*Subject // the subject that stands for a Go value
	memos    map[any]*Value   // analyses by a further key
	spending spending
	added    sync.Map // values of terms that are data, by addedTerm
	rows     rows
}

// New makes the model of a job.
func New(j *job.Job, tables *table.Set) *Model {
	return &Model{Job: j, Tables: tables, lists: map[*Kind]*things{}, byData: map[any]*Subject{}, memos: map[any]*Value{}}
}

// Subject is one thing of a job.
type Subject struct {
	Kind *Kind
	Name string      // its own name, "" for a thing there is one of
	Key  string      // its key in the job, "array.south"
	At   source.Span // its place in the job file

	data    any    // pointer to the job part or analysis it stands for
	unknown *Value // what every term of it is, where nothing of it can be known; see KindOf.Unknown
	once    sync.Once
	values  []atomic.Pointer[Value] // by the slot of the term
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

// addedTerm is what the value of a term without a slot is kept under.
type addedTerm struct {
	subject *Subject
	term    *Term
}

// kept is where the value of a term of a subject is kept.
func (m *Model) kept(s *Subject, t *Term) *atomic.Pointer[Value] {
	if t.slot < 0 {
		kept, _ := m.added.LoadOrStore(addedTerm{s, t}, new(atomic.Pointer[Value]))
		return kept.(*atomic.Pointer[Value])
	}
	s.once.Do(func() { s.values = make([]atomic.Pointer[Value], s.Kind.slots) })
	return &s.values[t.slot]
}

// things are all things of a kind, with what the list was computed from.
type things struct {
	list  []*Subject
	named map[string]*Subject
	value Value
}

// Subjects returns every thing of a kind in the order of the job.
func (m *Model) Subjects(kind string) []*Subject {
	k := kinds[kind]
	if k == nil || k.list == nil {
		return nil
	}
	return m.things(k, nil).list
}

// List is the list of the things of a kind as a value, which knows what it was
// computed from.
func (m *Model) List(k *Kind) *Value { return &m.things(k, nil).value }

func (m *Model) things(k *Kind, from *Call) *things {
	m.mu.Lock()
	t := m.lists[k]
	m.mu.Unlock()
	if t != nil {
		return t
	}
	c := &Call{m: m, subject: &Subject{Kind: k, At: m.Job.SectionAt(k.Name)}, what: "list of " + k.Name, parent: from}
	t = &things{list: k.list(c)}
	t.value = c.out
	t.value.V, t.value.Needs = t.list, nil // what is missing stands in the unknown subjects
	t.named = make(map[string]*Subject, len(t.list))
	for _, s := range t.list {
		t.named[s.Name] = s
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if prior := m.lists[k]; prior != nil {
		return prior // another worker was first; keep one identity for each thing
	}
	m.lists[k] = t
	for _, s := range t.list {
		m.byData[s.data] = s
	}
	return t
}

// subjectOf returns the subject that stands for a Go value, so that a thing
// reached by two ways is computed once.
func (m *Model) subjectOf(k *Kind, data any) *Subject {
	m.mu.Lock()
	s := m.byData[data]
	m.mu.Unlock()
	if s != nil {
		return s
	}
	if k.list != nil {
		m.things(k, nil)
	}
	return m.subjectFor(data, func() *Subject { return &Subject{Kind: k} })
}

// subjectFor returns the subject that stands for a Go value, made whole before
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
func (m *Model) Term(s *Subject, name string) *Value {
	t := s.Kind.terms[name]
	if t == nil {
		panic(fmt.Sprintf("terms: %s has no term %q", s.Kind.Name, name))
	}
	return m.value(s, t, nil)
}

// Value computes a term of a subject, once.
func (m *Model) Value(s *Subject, t *Term) *Value { return m.value(s, t, nil) }

// Ask begins a computation about a subject that is no term, such as a check.
func (m *Model) Ask(s *Subject, what string) *Call { return &Call{m: m, subject: s, what: what} }

// value computes a term of a subject for a computation, or for none.
func (m *Model) value(s *Subject, t *Term, from *Call) *Value {
	if s.unknown != nil {
		return s.unknown
	}
	kept := m.kept(s, t)
	if v := kept.Load(); v != nil {
		return v
	}
	if from.within(s, t.Name) {
		return &Value{Needs: []Need{{Why: fmt.Sprintf("%s of %s depends on itself", t.Name, s.Label()), At: s.At}}}
	}
	c := &Call{m: m, subject: s, what: t.Name, parent: from}
	c.compute(t)
	v := &c.out
	v.by = c
	v.Refs = m.rows.shared(v.Refs)
	if kept.CompareAndSwap(nil, v) {
		return v
	}
	return kept.Load()
}

// memo computes an analysis by a further key, once.
func (m *Model) memo(key any, s *Subject, what string, by any, from *Call, f func(c *Call) any) *Value {
	m.mu.Lock()
	v := m.memos[key]
	m.mu.Unlock()
	if v != nil {
		return v
	}
	c := &Call{m: m, subject: s, what: what, by: by, parent: from}
	c.out.V, c.out.by = f(c), c
	m.mu.Lock()
	defer m.mu.Unlock()
	if prior := m.memos[key]; prior != nil {
		return prior
	}
	m.memos[key] = &c.out
	return &c.out
}

// Forget lets go of what was computed of a subject; what is asked for again is
// computed again.
func (m *Model) Forget(s *Subject) {
	s.once.Do(func() { s.values = make([]atomic.Pointer[Value], s.Kind.slots) })
	for i := range s.values {
		s.values[i].Store(nil)
	}
}

// Unknown reports whether nothing of the subject can be known; it then stands
// for things that cannot be listed.
func (s *Subject) Unknown() bool { return s.unknown != nil }

// Part is the section or repeated table of the job file that the subject
// belongs to, "array"; "" for the job as a whole.
func (s *Subject) Part() string {
	parts, _ := job.SplitKey(s.Key)
	if len(parts) == 0 {
		return ""
	}
	return parts[0]
}

// Places gives the key of the subject and those of what it is a part of, from
// the innermost out: "array.south.lug.2", "array.south.lug", "array.south".
func (s *Subject) Places(yield func(key string) bool) {
	parts, _ := job.SplitKey(s.Key)
	for n := len(parts); n > 0; n-- {
		key := ""
		for _, p := range parts[:n] {
			key = job.Join(key, p)
		}
		if !yield(key) {
			return
		}
	}
}
