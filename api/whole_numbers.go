package api

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"strconv"
)

// decodeChecked decodes a body that the contract allows.
func decodeChecked(body []byte, into any) error {
	if json.Unmarshal(body, into) == nil {
		return nil
	}
	if err := json.Unmarshal(plainWholes(body), into); err != nil {
		return fmt.Errorf("api: a body that was checked does not decode: %w", err)
	}
	return nil
}

// stringOrNumber finds the strings and numbers of JSON text; the former so that
// what looks like the latter within them is passed over.
var stringOrNumber = regexp.MustCompile(`"(?:[^"\\]|\\.)*"|-?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?`)

// plainWholes writes the whole numbers of JSON text without a point or an
// exponent. To the contract 640.0 and 6.4e2 are whole numbers (JSON Schema
// 2020-12, core, 4.2.3); Go reads neither as one.
func plainWholes(text []byte) []byte {
	return stringOrNumber.ReplaceAllFunc(text, func(token []byte) []byte {
		if token[0] == '"' {
			return token
		}
		v, err := strconv.ParseFloat(string(token), 64)
		if err != nil || v != math.Trunc(v) || math.Abs(v) >= exactly {
			return token
		}
		return strconv.AppendInt(nil, int64(v), 10)
	})
}
