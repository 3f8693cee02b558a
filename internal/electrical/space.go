package electrical

import (
	"fmt"
	"strconv"

	"plumbrule/internal/quantity"
)

// WorkingSpace is the clear space in front of equipment.
type WorkingSpace struct {
	Basis
	VoltageToGround      float64 // V
	Condition            int
	Depth, Width, Height float64 // m
}

// WorkingSpace gives the least depth, width and height of the working space in
// front of equipment of up to 1000 V to ground. The condition says what faces
// the live parts: 1 nothing grounded, 2 grounded parts (concrete and masonry
// count), 3 live parts. Width and height are at least those of the equipment,
// in m, zero where not known. A voltage between two bands takes the higher
// one. Source: NEC 110.26(A) and Table 110.26(A)(1).
func (c *Code) WorkingSpace(voltageToGround float64, condition int, equipmentWidth, equipmentHeight float64) (WorkingSpace, error) {
	r := c.reader()
	r.need("the voltage to ground", voltageToGround)
	for _, x := range []float64{equipmentWidth, equipmentHeight} {
		if r.needFinite("the size of the equipment", x); x < 0 {
			r.fail(outside("the size of the equipment is zero or more"))
		}
	}
	if condition < 1 || condition > 3 {
		r.fail(outside("the condition is 1, 2 or 3, not %d", condition))
	}
	w := WorkingSpace{VoltageToGround: voltageToGround, Condition: condition}
	w.Depth = r.workingDepth(voltageToGround, condition)
	w.Width = max(r.amount(tableWorkingSize, "width"), equipmentWidth)
	w.Height = max(r.amount(tableWorkingSize, "height"), equipmentHeight)
	w.Basis = r.basis()
	return w, r.err
}

func (r *reader) workingDepth(voltage float64, condition int) float64 {
	t := r.table(tableWorkingSpace)
	if t == nil {
		return 0
	}
	for _, row := range t.Rows {
		if limit, ok := t.Quantity(row.Key, "up to"); ok && quantity.AtMost(voltage, limit) {
			return r.quantity(tableWorkingSpace, row.Key, strconv.Itoa(condition))
		}
	}
	r.fail(outside("%s %s does not reach %s to ground", t.Code, t.Section, volts(voltage)))
	return 0
}

// Work gives the values.
func (w WorkingSpace) Work(sys quantity.System) []string {
	return []string{
		fmt.Sprintf("%s to ground, condition %d: depth %s", volts(w.VoltageToGround), w.Condition, length(w.Depth, sys)),
		fmt.Sprintf("width %s, height %s", length(w.Width, sys), length(w.Height, sys)),
	}
}
