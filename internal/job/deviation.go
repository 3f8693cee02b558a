package job

import (
	"reflect"
	"strings"
	"sync"
	"time"

	"plumbrule/internal/source"
)

// Day is the form of a date that is held against others.
const Day = "2006-01-02"

// grants is a file in which an authority keeps the deviations it has granted.
type grants struct {
	Deviations []Deviation `key:"deviation" doc:"deviations that the authority has granted"`
}

var grantsTable = sync.OnceValue(func() *Table { return describe(reflect.TypeFor[grants]()) })

// ReadDeviations reads an authority's file of deviations: TOML with a
// [[deviation]] for each, and nothing else. The error is source.Faults with
// every fault.
func ReadDeviations(f *source.File) ([]Deviation, error) {
	root, faults := decode(f)
	if len(faults) > 0 {
		return nil, faults.Err()
	}
	if faults := tooLong(root, ""); len(faults) > 0 {
		return nil, faults.Err()
	}
	var read grants
	b := &binder{job: &Job{}, names: map[string][]string{}, whole: "a file of deviations"}
	b.table(grantsTable(), root, reflect.ValueOf(&read).Elem(), "", f.Start())
	b.deviations(read.Deviations)
	if err := b.faults.Err(); err != nil {
		return nil, err
	}
	return read.Deviations, nil
}

// deviations refuses deviations that do not say what they must: a blank text
// grants nothing that anybody could look up, and a date in other words cannot be
// held against another.
func (b *binder) deviations(list []Deviation) {
	for i := range list {
		d := &list[i]
		for _, t := range []Text{d.Check, d.Subject, d.Reason, d.By, d.Date, d.Until, d.Reference} {
			if t.Known && strings.TrimSpace(t.Value) == "" {
				b.add(t.At, t.Key, "a text that says something is expected", "%s is blank", t.Key)
			}
		}
		from, dated := b.day(d.Date)
		until, ends := b.day(d.Until)
		if dated && ends && until.Before(from) {
			b.fault(source.Fault{At: d.Until.At, Path: d.Until.Key, Message: d.Until.Key + ": it ends on " + d.Until.Value + ", before it was accepted on " + d.Date.Value,
				Expected: "a day no earlier is expected", Also: []source.Further{{At: d.Date.At, Note: "when it was accepted"}}})
		}
	}
}

// day reads a date; false where none is stated or it cannot be read.
func (b *binder) day(t Text) (time.Time, bool) {
	if !t.Known || strings.TrimSpace(t.Value) == "" {
		return time.Time{}, false
	}
	day, err := time.Parse(Day, t.Value)
	if err != nil {
		b.add(t.At, t.Key, "a day is expected, as in 2026-03-02", "%s: %q is not a day", t.Key, shorten(t.Value))
	}
	return day, err == nil
}
