package electrical

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// TestTablesAgainstIndependentSources holds table cells against what others
// published; each set of testdata/independent.toml names its source.
func TestTablesAgainstIndependentSources(t *testing.T) {
	var file struct {
		Set []struct {
			Title, Publisher, Section string
			Table, Column, Unit       string
			Editions                  []string
			Rows                      [][]any
		} `toml:"set"`
	}
	if _, err := toml.DecodeFile("testdata/independent.toml", &file); err != nil {
		t.Fatal(err)
	}
	all, cells := tables(t), 0
	for _, set := range file.Set {
		if set.Title == "" || set.Publisher == "" || set.Section == "" {
			t.Errorf("a set for table %s names no source", set.Table)
		}
		for _, ed := range set.Editions {
			tab, err := all.Get("NEC", ed, set.Table)
			if err != nil {
				t.Error(err)
				continue
			}
			for _, row := range set.Rows {
				cells++
				key := fmt.Sprint(row[0])
				if !sameCell(tab, key, set.Column, row[1], set.Unit) {
					t.Errorf("%s %s, row %s, column %s: differs from %v of %s", ed, set.Table, key, set.Column, row[1], set.Title)
				}
			}
		}
	}
	if cells < 1500 {
		t.Errorf("only %d cells were compared", cells)
	}
}

func sameCell(tab *table.Table, key, column string, want any, unit string) bool {
	switch w := want.(type) {
	case string:
		got, ok := tab.Text(key, column)
		return ok && got == w
	case int64:
		return sameNumber(tab, key, column, float64(w), unit)
	case float64:
		return sameNumber(tab, key, column, w, unit)
	}
	return false
}

// sameNumber compares a number with a published one in its unit.
func sameNumber(tab *table.Table, key, column string, want float64, unit string) bool {
	if scale, ok := quantity.ParseScale(unit); ok {
		got, ok := tab.Quantity(key, column)
		return ok && quantity.Near(got, scale.Base(want))
	}
	got, ok := tab.Number(key, column)
	return ok && got == want
}

// TestTablesKeepTheirShape guards what the functions rely on: rows in rising
// order, no gap between bands, factors that fall as it gets hotter.
func TestTablesKeepTheirShape(t *testing.T) {
	all := tables(t)
	rising := func(ed, name, col string, sign float64) {
		t.Helper()
		tab, err := all.Get("NEC", ed, name)
		if err != nil {
			t.Error(err)
			return
		}
		last := math.Inf(-1)
		for _, row := range tab.Rows {
			v, ok := tab.Number(row.Key, col)
			if !ok {
				v, ok = tab.Quantity(row.Key, col)
			}
			if ok {
				if sign*v < last {
					t.Errorf("%s %s: column %s is out of order at row %s", ed, name, col, row.Key)
				}
				last = sign * v
			}
		}
	}
	for _, ed := range editionsInFull {
		for _, m := range []string{"copper", "aluminum"} {
			for _, d := range []string{"60", "75", "90"} {
				rising(ed, "310.16", m+" "+d, 1)
			}
			rising(ed, "250.66", m+" up to", 1)
		}
		for _, d := range []string{"60", "75", "90"} {
			rising(ed, "310.15(B)(1)(1)", d, -1)
		}
		for _, d := range []string{"105", "125"} {
			rising(ed, "690.31(A)(3)(2)", d, -1)
		}
		rising(ed, "310.15(B)(1)(1)", "high", 1)
		rising(ed, "310.15(C)(1)", "percent", -1)
		rising(ed, "250.122", "rating", 1)
		rising(ed, "240.6(A)", "rating", 1)
		rising(ed, "690.7(A)", "cold end", -1)
		rising(ed, "690.7(A)", "factor", 1)
		rising(ed, "Chapter 9 Table 8", "area", 1)
		rising(ed, "Chapter 9 Table 8", "copper stranded", -1)
		rising(ed, "110.26(A)(1)", "up to", 1)
	}
}

// TestCorrectionFactorsFollowTheirFormula checks the printed factors against
// the square root of the temperature differences, from which the code has
// them (NEC 310.15(B)(1), equation). 0.0075 allows for the printed rounding.
func TestCorrectionFactorsFollowTheirFormula(t *testing.T) {
	all := tables(t)
	for name, ratings := range map[string][]float64{"310.15(B)(1)(1)": {60, 75, 90}, "690.31(A)(3)(2)": {105, 125}} {
		tab, err := all.Get("NEC", "2023", name)
		if err != nil {
			t.Fatal(err)
		}
		for _, rating := range ratings {
			for _, row := range tab.Rows {
				got, ok := tab.Number(row.Key, plain(rating, 0))
				high, _ := tab.Quantity(row.Key, "high")
				if want := math.Sqrt((rating - high) / (rating - 30)); ok && math.Abs(got-want) > 0.0075 {
					t.Errorf("%s, %v degC column, row %s: %v, formula gives %.3f", name, rating, row.Key, got, want)
				}
			}
		}
	}
}

// TestRacewayAreasFollowTheirDiameters checks Chapter 9 Table 4 by geometry.
func TestRacewayAreasFollowTheirDiameters(t *testing.T) {
	tab, err := tables(t).Get("NEC", "2023", "Chapter 9 Table 4")
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range tab.Rows {
		d, _ := tab.Quantity(row.Key, "diameter")
		a, ok := tab.Quantity(row.Key, "area")
		d, a = d/quantity.Inch, a/quantity.SquareInch
		if circle := math.Pi * d * d / 4; !ok || math.Abs(circle-a) > 0.0025*a+0.001 {
			t.Errorf("%s: %v in2, a circle of %v in has %.3f", row.Key, a, d, circle)
		}
	}
}

// TestAreaOfResistance checks Chapter 9 Table 8 by physics: resistance times
// area is the resistivity of the metal within the printed rounding (copper
// 10.37 ohm cmil/ft at 20 degC, ASTM B3, and 0.00393/K, is 12.6 at 75 degC
// before the lay of the strands).
func TestAreaOfResistance(t *testing.T) {
	tab, err := tables(t).Get("NEC", "2023", "Chapter 9 Table 8")
	if err != nil {
		t.Fatal(err)
	}
	for col, k := range map[string]float64{"copper solid": 12.61, "copper stranded": 12.87, "aluminum solid": 20.8, "aluminum stranded": 21.2} {
		for _, row := range tab.Rows {
			r, ok := tab.Quantity(row.Key, col)
			a, _ := tab.Quantity(row.Key, "area")
			r, a = r*1000*quantity.Foot, a/quantity.CircularMil
			if ok && math.Abs(r*a/1000-k) > 0.012*k {
				t.Errorf("%s, row %s: %v ohm/kft x %v cmil = %.2f ohm cmil/ft, want about %v", col, row.Key, r, a, r*a/1000, k)
			}
		}
	}
}

// TestEveryTableHasItsEditions wants each table for the three editions that
// are known in full, sizes and insulations that can be read, and places that
// are cited by a section.
func TestEveryTableHasItsEditions(t *testing.T) {
	byName := map[string]map[string]*table.Table{}
	for _, tab := range tables(t).All() {
		if byName[tab.Name] == nil {
			byName[tab.Name] = map[string]*table.Table{}
		}
		byName[tab.Name][tab.Edition] = tab
		if tab.Section == "" {
			t.Errorf("%s %s has no section", tab.Edition, tab.Name)
		}
		for _, row := range tab.Rows {
			for _, c := range row.Cells {
				if s, ok := c.(string); ok && tab.Columns[0] == "size" {
					t.Errorf("%s %s, row %s: text %q among numbers", tab.Edition, tab.Name, row.Key, s)
				}
			}
		}
	}
	for name, known := range byName {
		for _, ed := range editionsInFull {
			if known[ed] == nil {
				t.Errorf("table %s is not known for %s", name, ed)
			}
		}
	}
	for _, name := range []string{"250.122", "250.66", "250.166"} {
		for _, row := range byName[name]["2023"].Rows {
			for _, m := range []string{"copper", "aluminum"} {
				text, ok := byName[name]["2023"].Text(row.Key, m)
				if _, err := quantity.ParseSize(text); ok && err != nil {
					t.Errorf("%s, row %s: %v", name, row.Key, err)
				}
			}
		}
	}
}

// TestSourcesAreNamed keeps addresses and empty names out of
// the tables.
func TestSourcesAreNamed(t *testing.T) {
	for _, tab := range tables(t).All() {
		b, err := json.Marshal(struct {
			Note    string
			Sources []table.Source
		}{tab.Note, tab.Sources})
		if err != nil {
			t.Fatal(err)
		}
		if s := string(b); strings.Contains(s, "http") {
			t.Errorf("%s %s carries an address: %s", tab.Edition, tab.Name, s)
		}
		for _, src := range tab.Sources {
			if src.Title == "" || src.Publisher == "" {
				t.Errorf("%s %s has a source without title or publisher", tab.Edition, tab.Name)
			}
		}
	}
}

// TestNamedTablesExist wants every table that the code asks for.
func TestNamedTablesExist(t *testing.T) {
	all := tables(t)
	for _, name := range []string{tableAmpacity, tableAmbient, tableAdjustment, tableRooftop, tableInsulation, tableParallel, tableTerminal,
		tableWorkingSpace, tableWorkingSize, tableNextSize, tableSmallConductor, tableStandard, tableElectrode, tableElectrodeLimit, tableGround,
		tableGroundIncrease, tableDCElectrode, tableRounding, tableVoltage, tableColdFactor, tableCurrent, tableStringOvercurrent, tablePVAmpacity,
		tablePVAmbient, tableSupplySide, tableSupplySum, tableBusbar, tableBusbarScope, tableFeeder, tableOutput, tableFill, tableRaceway,
		tableBareArea, tableProperties, tableResistanceCorrected, tableImpedance} {
		for _, ed := range editionsInFull {
			if _, err := all.Get("NEC", ed, name); err != nil {
				t.Error(err)
			}
		}
	}
}
