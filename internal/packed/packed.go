// Package packed keeps plain Go data in a compact form that a program reads at
// its start: texts are views into the data and are not copied, and nothing is
// parsed. The form belongs to the Go type; data of another shape of that type
// is refused, so that a field that was added or renamed is never misread.
//
// Data are structs, slices, maps by text, pointers, texts, numbers, flags, and any of
// text, int64, float64, bool, json.Number, []any and map[string]any. The same data give the
// same bytes.
package packed

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
)

// ErrShape says that data was packed from another shape of its type.
var ErrShape = errors.New("packed data of another shape")

// errEnds says that data is cut off or is no packed data.
var errEnds = errors.New("packed data ends too early")

const shapeLength = 8

// shape fingerprints a type: the names and types of all that it holds.
func shape(t reflect.Type) []byte {
	sum := uint64(14695981039346656037) // FNV-1a
	add := func(s string) {
		for i := range len(s) {
			sum = (sum ^ uint64(s[i])) * 1099511628211
		}
		sum = (sum ^ 0xFF) * 1099511628211
	}
	var walk func(t reflect.Type, within []reflect.Type)
	walk = func(t reflect.Type, within []reflect.Type) {
		add(t.Kind().String())
		if slices.Contains(within, t) {
			add(t.Name())
			return
		}
		within = append(within, t)
		switch t.Kind() {
		case reflect.Struct:
			for i := range t.NumField() {
				f := t.Field(i)
				add(f.Name)
				walk(f.Type, within)
			}
		case reflect.Slice, reflect.Map, reflect.Pointer:
			walk(t.Elem(), within)
		}
		add("")
	}
	walk(t, make([]reflect.Type, 0, 16))
	return binary.LittleEndian.AppendUint64(nil, sum)
}

// Encode packs what v holds. It panics on data that is not plain: its caller is a test.
func Encode[T any](v T) string {
	e := &encoder{out: shape(reflect.TypeFor[T]())}
	e.value(reflect.ValueOf(&v).Elem())
	return string(e.out)
}

type encoder struct{ out []byte }

func (e *encoder) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		e.text(v.String())
	case reflect.Bool:
		e.count(btoi(v.Bool()))
	case reflect.Int, reflect.Int64, reflect.Int32, reflect.Int8:
		e.out = binary.AppendVarint(e.out, v.Int())
	case reflect.Uint8, reflect.Uint32, reflect.Uint64:
		e.out = binary.AppendUvarint(e.out, v.Uint())
	case reflect.Float64:
		e.out = binary.LittleEndian.AppendUint64(e.out, math.Float64bits(v.Float()))
	case reflect.Struct:
		for i := range v.NumField() {
			e.value(v.Field(i))
		}
	case reflect.Pointer:
		if e.count(btoi(!v.IsNil())); !v.IsNil() {
			e.value(v.Elem())
		}
	case reflect.Slice:
		if v.IsNil() {
			e.count(0)
			return
		}
		e.count(v.Len() + 1) // none and an empty one are two things
		for i := range v.Len() {
			e.value(v.Index(i))
		}
	case reflect.Map:
		if v.IsNil() {
			e.count(0)
			return
		}
		e.count(v.Len() + 1)
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
		for _, k := range keys {
			e.text(k.String())
			e.value(v.MapIndex(k))
		}
	case reflect.Interface:
		if v.IsNil() {
			e.count(0)
			return
		}
		i := slices.Index(anyTypes, v.Elem().Type())
		if i < 0 {
			panic(fmt.Sprintf("packed: any of %s", v.Elem().Type()))
		}
		e.count(i + 1)
		e.value(v.Elem())
	default:
		panic(fmt.Sprintf("packed: a %s", v.Type()))
	}
}

func (e *encoder) count(n int) { e.out = binary.AppendUvarint(e.out, uint64(n)) }

func (e *encoder) text(s string) {
	e.count(len(s))
	e.out = append(e.out, s...)
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// anyTypes are what an any may hold.
var anyTypes = []reflect.Type{reflect.TypeFor[string](), reflect.TypeFor[int64](), reflect.TypeFor[float64](), reflect.TypeFor[bool](), reflect.TypeFor[[]any](), reflect.TypeFor[map[string]any](), reflect.TypeFor[json.Number]()}

// Decode unpacks what Encode packed. Its texts are parts of data.
func Decode[T any](data string) (v T, err error) {
	t := reflect.TypeFor[T]()
	if len(data) < shapeLength || data[:shapeLength] != string(shape(t)) {
		return v, ErrShape
	}
	r := &Reader{Rest: data[shapeLength:]}
	var out T
	r.value(reflect.ValueOf(&out).Elem())
	if r.Failed || r.Rest != "" {
		return v, errEnds
	}
	return out, nil
}

// Reader reads numbers and texts one after the other. Past the end it gives zeros
// and notes that it Failed.
type Reader struct {
	Rest   string
	Failed bool
}

// Count reads a whole number that is not negative.
func (r *Reader) Count() int {
	var n uint64
	for i := 0; i < len(r.Rest) && i < binary.MaxVarintLen64; i++ {
		b := r.Rest[i]
		n |= uint64(b&0x7f) << (7 * i)
		if b < 0x80 {
			r.Rest = r.Rest[i+1:]
			return int(n)
		}
	}
	r.fail()
	return 0
}

// Whole reads a whole number of either sign.
func (r *Reader) Whole() int64 {
	n := uint64(r.Count())
	return int64(n>>1) ^ -int64(n&1)
}

// Text reads a text, which is a part of what is read.
func (r *Reader) Text() string {
	n := r.Count()
	if n < 0 || n > len(r.Rest) {
		r.fail()
		return ""
	}
	s := r.Rest[:n]
	r.Rest = r.Rest[n:]
	return s
}

// Number reads a number with a fraction.
func (r *Reader) Number() float64 {
	if len(r.Rest) < 8 {
		r.fail()
		return 0
	}
	var bits uint64
	for i := range 8 {
		bits |= uint64(r.Rest[i]) << (8 * i)
	}
	r.Rest = r.Rest[8:]
	return math.Float64frombits(bits)
}

func (r *Reader) fail() { r.Failed, r.Rest = true, "" }

// length reads how many there are of a list or map; below zero where there is none.
func (r *Reader) length() int {
	n := r.Count() - 1
	if n > len(r.Rest) { // each takes a byte at least, so that no list is made for nothing
		r.fail()
		return -1
	}
	return n
}

func (r *Reader) value(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(r.Text())
	case reflect.Bool:
		v.SetBool(r.Count() != 0)
	case reflect.Int, reflect.Int64, reflect.Int32, reflect.Int8:
		v.SetInt(r.Whole())
	case reflect.Uint8, reflect.Uint32, reflect.Uint64:
		v.SetUint(uint64(r.Count()))
	case reflect.Float64:
		v.SetFloat(r.Number())
	case reflect.Struct:
		for i := range v.NumField() {
			r.value(v.Field(i))
		}
	case reflect.Pointer:
		if r.Count() != 0 {
			v.Set(reflect.New(v.Type().Elem()))
			r.value(v.Elem())
		}
	case reflect.Slice:
		n := r.length()
		if n < 0 {
			return
		}
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			r.value(v.Index(i))
		}
	case reflect.Map:
		n := r.length()
		if n < 0 {
			return
		}
		v.Set(reflect.MakeMapWithSize(v.Type(), n))
		for range n {
			key := reflect.New(v.Type().Key()).Elem()
			key.SetString(r.Text())
			of := reflect.New(v.Type().Elem()).Elem()
			r.value(of)
			v.SetMapIndex(key, of)
		}
	case reflect.Interface:
		if of := r.any(); of != nil {
			v.Set(reflect.ValueOf(of))
		}
	}
}

// any reads a value with its type before it, by the numbers of anyTypes.
func (r *Reader) any() any {
	switch r.Count() {
	case 0:
		return nil
	case 1:
		return r.Text()
	case 2:
		return r.Whole()
	case 3:
		return r.Number()
	case 4:
		return r.Count() != 0
	case 5:
		n := r.length()
		if n < 0 {
			return []any(nil)
		}
		out := make([]any, n)
		for i := range out {
			out[i] = r.any()
		}
		return out
	case 6:
		n := r.length()
		if n < 0 {
			return map[string]any(nil)
		}
		out := make(map[string]any, n)
		for range n {
			key := r.Text()
			out[key] = r.any()
		}
		return out
	case 7:
		return json.Number(r.Text())
	}
	r.fail()
	return nil
}
