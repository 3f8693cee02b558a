package terms

import "plumbrule/internal/table"

// Practice reads a quantity of common practice from its table, in its base
// unit, and cites the row.
func Practice(c *Call, tableName, row, column string) float64 {
	return practice(c, tableName, row, column, (*table.Table).Quantity)
}

// PracticeNumber reads a number without a unit in the same way.
func PracticeNumber(c *Call, tableName, row, column string) float64 {
	return practice(c, tableName, row, column, (*table.Table).Number)
}

func practice[V any](c *Call, tableName, row, column string, read func(*table.Table, string, string) (V, bool)) (v V) {
	t, err := c.Tables().Get("Practice", "common", tableName)
	if err != nil {
		c.Err(err)
		return v
	}
	v, ok := read(t, row, column)
	if !ok {
		c.Fail("the table %s has no %s for %s", tableName, column, row)
	}
	c.Cite(t.Ref(row))
	return v
}

// PracticeText reads a word in the same way.
func PracticeText(c *Call, tableName, row, column string) string {
	return practice(c, tableName, row, column, (*table.Table).Text)
}
