package curves

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"
)

// decimals of values in CSV: a nanometre, and less than the solver's error at
// angles.
const decimals = 6

// WriteCSV writes a table as comma-separated values (RFC 4180): a header of ids
// and units, then a line for each place. A value that is not there is empty.
func WriteCSV(w io.Writer, t *Table) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	row := []string{t.Axis.ID + " (" + t.Axis.Unit + ")"}
	for i := range t.Series {
		row = append(row, t.Series[i].ID+" ("+t.Series[i].Unit+")")
	}
	// The writer keeps its first error and gives it again.
	_ = c.Write(row)
	for i, x := range t.At {
		row = append(row[:0], Decimal(x))
		for k := range t.Series {
			row = append(row, Decimal(t.Series[k].Values[i]))
		}
		_ = c.Write(row)
	}
	c.Flush()
	return c.Error()
}

// Decimal writes a value as short as six decimals allow; nothing of one that is not
// finite.
func Decimal(v float64) string {
	if !finite(v) {
		return ""
	}
	const scale = 1e6                 // 10^decimals
	v = math.Round(v*scale)/scale + 0 // no minus before a zero
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	for s[len(s)-1] == '0' {
		s = s[:len(s)-1]
	}
	if s[len(s)-1] == '.' {
		s = s[:len(s)-1]
	}
	return s
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
