package packed

import (
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"testing"
)

type sample struct {
	Name  string
	Sizes []float64
	Flag  *bool
	Count int
	Words map[string][]string
	Cells [][]any
	Inner []inner
}

type inner struct {
	At   uint8
	Rest map[string]any
}

func full() sample {
	yes := true
	return sample{
		Name: "a ≥ b", Sizes: []float64{0, -1.5, math.Inf(1)}, Flag: &yes, Count: -300,
		Words: map[string][]string{"b": {"x"}, "a": {}, "c": nil},
		Cells: [][]any{{"14", int64(15), 2.5, true, nil, json.Number("1e3")}, {}},
		Inner: []inner{{At: 255, Rest: map[string]any{"list": []any{"x", int64(-1)}, "of": map[string]any{"k": false}}}, {}},
	}
}

// What is packed comes back as it was, none and empty apart, and always in the same bytes.
func TestRoundTrip(t *testing.T) {
	for _, want := range []sample{{}, full()} {
		data := Encode(want)
		got, err := Decode[sample](data)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%v: %+v comes back as %+v", err, want, got)
		}
		for range 20 {
			if Encode(want) != data {
				t.Fatal("the same data give other bytes")
			}
		}
	}
}

// Data of another shape is refused: a field more, another name, another order.
func TestAnotherShape(t *testing.T) {
	type was struct{ A, B string }
	type renamed struct{ A, C string }
	type more struct {
		A, B string
		C    []string
	}
	data := Encode(was{"x", "y"})
	if v, err := Decode[was](data); err != nil || v != (was{"x", "y"}) {
		t.Fatalf("%v %v", v, err)
	}
	if _, err := Decode[renamed](data); !errors.Is(err, ErrShape) {
		t.Errorf("a renamed field: %v", err)
	}
	if _, err := Decode[more](data); !errors.Is(err, ErrShape) {
		t.Errorf("a field more: %v", err)
	}
	if _, err := Decode[was](""); !errors.Is(err, ErrShape) {
		t.Errorf("no data: %v", err)
	}
}

// Data that is cut off anywhere, or goes on, is refused, and no list is made for a
// length that cannot be.
func TestCutOff(t *testing.T) {
	data := Encode(full())
	for n := shapeLength; n < len(data); n++ {
		if _, err := Decode[sample](data[:n]); err == nil {
			t.Errorf("the first %d bytes of %d are accepted", n, len(data))
		}
	}
	if _, err := Decode[sample](data + "\x00"); err == nil {
		t.Error("a byte more is accepted")
	}
	long := string(shape(reflect.TypeFor[[]string]())) + "\xff\xff\xff\xff\xff\xff\xff\xff\x7f"
	if _, err := Decode[[]string](long); err == nil {
		t.Error("a list longer than its data is accepted")
	}
}
