package calculator

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/quantity"
	"plumbrule/internal/structural"
	"plumbrule/internal/table"
)

// outside is one thing that is known from outside the project and that holds
// cells of the code tables: faults lists where tables and program differ from
// it.
type outside struct {
	name   string
	faults func(tables *table.Set, fail func(format string, a ...any))
}

// differences runs a check. A check that cannot be made is a difference too.
func (o outside) differences(tables *table.Set) (list []string) {
	defer func() {
		if p := recover(); p != nil {
			list = append(list, fmt.Sprintf("%s: %v", o.name, p))
		}
	}()
	o.faults(tables, func(format string, a ...any) {
		list = append(list, o.name+": "+fmt.Sprintf(format, a...))
	})
	return list
}

// must gives a value that a check cannot do without.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// outsides lists every check against the outside: the published cases, the
// cells that others published, and the tables that follow from a formula.
func outsides(t testing.TB) []outside {
	t.Helper()
	list := publishedChecks(t)
	list = append(list, independentChecks(t)...)
	return append(list,
		outside{"correction factors", correctionFactors},
		outside{"raceway areas", racewayAreas},
		outside{"areas and resistances", areasOfResistance},
		outside{"lag withdrawal", lagWithdrawalTable},
		outside{"lag lateral values", lagLateralTable},
	)
}

func TestOutside(t *testing.T) {
	tables := loadTables(t)
	for _, o := range outsides(t) {
		for _, d := range o.differences(tables) {
			t.Error(d)
		}
	}
}

// independentChecks holds table cells against what others published; each set
// of testdata/independent.toml names its source.
func independentChecks(t testing.TB) (list []outside) {
	t.Helper()
	var file struct {
		Set []struct {
			Title, Publisher, Section string
			Table, Column, Unit       string
			Editions                  []string
			Rows                      [][]any
		} `toml:"set"`
	}
	if _, err := toml.DecodeFile("../../testdata/independent.toml", &file); err != nil {
		t.Fatal(err)
	}
	cells := 0
	for _, set := range file.Set {
		if set.Title == "" || set.Publisher == "" || set.Section == "" {
			t.Errorf("a set for table %s names no source", set.Table)
		}
		for _, edition := range set.Editions {
			cells += len(set.Rows)
			list = append(list, outside{edition + " " + set.Table + " by " + set.Title, func(tables *table.Set, fail func(string, ...any)) {
				tab := must(tables.Get("NEC", edition, set.Table))
				for _, row := range set.Rows {
					if key := fmt.Sprint(row[0]); !sameCell(tab, key, set.Column, row[1], set.Unit) {
						fail("row %s, column %s: differs from %v", key, set.Column, row[1])
					}
				}
			}})
		}
	}
	if cells < 1500 {
		t.Errorf("only %d cells are compared", cells)
	}
	return list
}

// sameCell compares a cell with a published one, a number in the unit that it
// was published in.
func sameCell(tab *table.Table, key, column string, want any, unit string) bool {
	if text, isText := want.(string); isText {
		got, ok := tab.Text(key, column)
		return ok && got == text
	}
	published := must(strconv.ParseFloat(fmt.Sprint(want), 64))
	if scale, ok := quantity.ParseScale(unit); ok {
		got, ok := tab.Quantity(key, column)
		return ok && quantity.Near(got, scale.Base(published))
	}
	got, ok := tab.Number(key, column)
	return ok && got == published
}

// correctionFactors checks the printed factors against the square root of the
// temperature differences, from which the code has them (NEC 310.15(B)(1),
// equation). 0.0075 allows for the printed rounding.
func correctionFactors(tables *table.Set, fail func(string, ...any)) {
	for name, ratings := range map[string][]float64{"310.15(B)(1)(1)": {60, 75, 90}, "690.31(A)(3)(2)": {105, 125}} {
		tab := must(tables.Get("NEC", "2023", name))
		for _, rating := range ratings {
			for _, row := range tab.Rows {
				got, ok := tab.Number(row.Key, fmt.Sprint(rating))
				high, _ := tab.Quantity(row.Key, "high")
				if want := math.Sqrt((rating - high) / (rating - 30)); ok && !(math.Abs(got-want) <= 0.0075) {
					fail("%s, %v degC column, row %s: %v, formula gives %.3f", name, rating, row.Key, got, want)
				}
			}
		}
	}
}

// racewayAreas checks Chapter 9 Table 4 by geometry.
func racewayAreas(tables *table.Set, fail func(string, ...any)) {
	tab := must(tables.Get("NEC", "2023", "Chapter 9 Table 4"))
	for _, row := range tab.Rows {
		d, _ := tab.Quantity(row.Key, "diameter")
		a, ok := tab.Quantity(row.Key, "area")
		d, a = d/quantity.Inch, a/quantity.SquareInch
		if circle := math.Pi * d * d / 4; !ok || math.Abs(circle-a) > 0.0025*a+0.001 {
			fail("%s: %v in2, a circle of %v in has %.3f", row.Key, a, d, circle)
		}
	}
}

// areasOfResistance checks Chapter 9 Table 8 by physics: resistance times area
// is the resistivity of the metal within the printed rounding (copper 10.37 ohm
// cmil/ft at 20 degC, ASTM B3, and 0.00393/K, is 12.6 at 75 degC before the lay
// of the strands).
func areasOfResistance(tables *table.Set, fail func(string, ...any)) {
	tab := must(tables.Get("NEC", "2023", "Chapter 9 Table 8"))
	for col, k := range map[string]float64{"copper solid": 12.61, "copper stranded": 12.87, "aluminum solid": 20.8, "aluminum stranded": 21.2} {
		for _, row := range tab.Rows {
			r, ok := tab.Quantity(row.Key, col)
			a, _ := tab.Quantity(row.Key, "area")
			r, a = r*1000*quantity.Foot, a/quantity.CircularMil
			if ok && math.Abs(r*a/1000-k) > 0.012*k {
				fail("%s, row %s: %v ohm/kft x %v cmil = %.2f ohm cmil/ft, want about %v", col, row.Key, r, a, r*a/1000, k)
			}
		}
	}
}

// lagWithdrawalTable: every cell of NDS Table 12.2A (American Wood Council; the page
// was read as filed with the City of Everett, WA) is the
// equation rounded to a pound.
func lagWithdrawalTable(tables *table.Set, fail func(string, ...any)) {
	diameters := []float64{1.0 / 4, 5.0 / 16, 3.0 / 8, 7.0 / 16, 1.0 / 2, 5.0 / 8, 3.0 / 4, 7.0 / 8, 1, 9.0 / 8, 5.0 / 4}
	for _, edition := range []string{"2015", "2018"} {
		n := must(structural.NewNDS(edition, tables))
		tab := must(tables.Get("NDS", edition, "lag-withdrawal"))
		if len(tab.Rows) != 22 || len(tab.Columns) != 1+len(diameters) {
			fail("%s: %d rows of %d columns", edition, len(tab.Rows), len(tab.Columns))
		}
		for _, row := range tab.Rows {
			g := must(strconv.ParseFloat(row.Key, 64))
			for i, d := range diameters {
				w := must(n.LagWithdrawal(g, d*quantity.Inch, quantity.Inch, 1, structural.Conditions{}))
				want, ok := tab.Quantity(row.Key, tab.Columns[i+1])
				if got := math.Round(w.Reference / quantity.PoundPerInch); !ok || !quantity.Near(want, got*quantity.PoundPerInch) {
					fail("%s G %v, %v in: %v, table %v", edition, g, d, got, row.Cells[i])
				}
			}
		}
	}
}

// lagLateralTable: the yield equations give NDS Table 12K (same record, page 32)
// when rounded to 10 lb; at most one step of rounding may differ.
func lagLateralTable(tables *table.Set, fail func(string, ...any)) {
	n := must(structural.NewNDS("2018", tables))
	tab := must(tables.Get("NDS", "2018", "lag-lateral"))
	diameters := map[string]float64{"1/4": 0.25, "5/16": 0.3125, "3/8": 0.375}
	off := 0
	for _, row := range tab.Rows {
		plate, _ := tab.Quantity(row.Key, "plate")
		size, _ := tab.Text(row.Key, "size")
		side := must(n.SidePlate("A653", plate, 0))
		for _, g := range []string{"0.67", "0.55", "0.50", "0.49", "0.46", "0.43", "0.42", "0.37", "0.36", "0.35"} {
			gravity := must(strconv.ParseFloat(g, 64))
			d := diameters[size] * quantity.Inch
			l := must(n.LagLateral(d, structural.Joint{Gravity: gravity, Side: side, Penetration: 8 * d}, structural.Conditions{}))
			for column, z := range map[string]float64{" parallel": l.Parallel, " perpendicular": l.Perpendicular} {
				want, _ := tab.Quantity(row.Key, g+column)
				z, want := z/quantity.PoundForce, want/quantity.PoundForce
				if math.Abs(z-want) > 6 {
					fail("%s G %s%s: %.1f, table %v", row.Key, g, column, z, want)
				}
				if math.Round(z/10)*10 != math.Round(want) {
					off++
				}
			}
		}
	}
	if off > 4 {
		fail("%d cells round to another ten pounds", off)
	}
}

// publishedChecks makes a check of every case of testdata/published.
func publishedChecks(t testing.TB) (list []outside) {
	t.Helper()
	all := All()
	for file, cases := range loadPublished(t) {
		for i, p := range cases {
			at := slices.IndexFunc(all, func(c *Calculator) bool { return c.Name == p.Calc })
			if at < 0 {
				t.Fatalf("%s: no calculator %q", file, p.Calc)
			}
			list = append(list, outside{fmt.Sprintf("%s/%d %s", file, i+1, p.Title), func(tables *table.Set, fail func(string, ...any)) {
				r := must(all[at].Call(p.Args, tables))
				p.compare(r, fail)
			}})
		}
	}
	return list
}
