package source

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Fault is one thing wrong with an input: where, what was found, what is
// expected, and the word that was probably meant. Where two places clash, At
// is the later one and Also names the earlier.
type Fault struct {
	At       Span
	Path     string // the key in the data of the file, "array.south.rows"; "" where the fault is of no one key
	Message  string // what was found
	Expected string // what is expected instead, or ""
	Nearest  string // the word that was probably meant, or ""
	Also     []Further
}

// Further is another place that a fault concerns, with what stands there.
type Further struct {
	At   Span
	Note string
}

// Error is "file:line:column: message; expected; did you mean ...?", and below
// it a line "  file:line:column: note" for each further place.
func (f Fault) Error() string { return strings.Join(f.Lines(), "\n") }

// Lines is the error line by line: the fault, then each further place.
func (f Fault) Lines() []string {
	lines := []string{placed(f.At, f.Text())}
	for _, further := range f.Also {
		lines = append(lines, "  "+placed(further.At, further.Note))
	}
	return lines
}

func placed(at Span, text string) string {
	if place := at.Position().String(); place != "" {
		return place + ": " + text
	}
	return text
}

// Text is the error without its places.
func (f Fault) Text() string {
	text := f.Message
	if f.Expected != "" {
		text += "; " + f.Expected
	}
	if f.Nearest != "" {
		text += fmt.Sprintf("; did you mean %q?", f.Nearest)
	}
	return text
}

// Faults is every fault found in an input. As an error it prints each
// on a line of its own, with its further places below it.
type Faults []Fault

func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i, fault := range f {
		lines[i] = fault.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives the single faults to errors.As.
func (f Faults) Unwrap() []error {
	list := make([]error, len(f))
	for i, fault := range f {
		list[i] = fault
	}
	return list
}

// Add appends a fault.
func (f *Faults) Add(at Span, format string, a ...any) {
	*f = append(*f, Fault{At: at, Message: fmt.Sprintf(format, a...)})
}

// Err is the faults in order without repeats, or nil when there are none.
func (f Faults) Err() error {
	if len(f) == 0 {
		return nil
	}
	return f.Sorted()
}

// Sorted is a copy in the order of file, line, column and text, each fault
// once.
func (f Faults) Sorted() Faults {
	list := slices.Clone(f)
	slices.SortStableFunc(list, func(a, b Fault) int {
		return cmp.Or(
			cmp.Compare(a.At.fileName(), b.At.fileName()),
			cmp.Compare(a.At.Start, b.At.Start),
			cmp.Compare(a.Text(), b.Text()),
		)
	})
	return slices.CompactFunc(list, func(a, b Fault) bool {
		return a.At.fileName() == b.At.fileName() && a.At.Start == b.At.Start && a.Text() == b.Text()
	})
}

func (s Span) fileName() string {
	if s.File == nil {
		return ""
	}
	return s.File.Name
}
