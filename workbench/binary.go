package workbench

import (
	"encoding/binary"
	"encoding/json"
	"math"

	"sinew/job"
)

// magic begins every binary view.
const magic = "SNWV"

// align is what the data and every array in it are aligned to, bytes: a
// reader may lay typed arrays over the answer without copying.
const align = 8

// arrayHead describes one array in the header.
type arrayHead struct {
	Name   string `json:"name"`
	Type   string `json:"type"`
	Items  int    `json:"items"`
	Count  int    `json:"count"`
	Offset int    `json:"offset"`
}

// encodeArrays lays out a view:
//
//	"SNWV" │ u32 length of the header │ header, JSON, padded by spaces │ arrays
//
// all little-endian; offsets count from the end of the header.
func encodeArrays(a *job.Arrays) ([]byte, error) {
	heads := make([]arrayHead, len(a.List))
	size := 0
	for i := range a.List {
		x := &a.List[i]
		h := arrayHead{Name: x.Name, Items: x.Items, Offset: size}
		numbers, width := 0, 4
		switch {
		case x.U8 != nil:
			h.Type, numbers, width = "u8", len(x.U8), 1
		case x.U32 != nil:
			h.Type, numbers = "u32", len(x.U32)
		default:
			h.Type, numbers = "f32", len(x.F32)
		}
		h.Count = numbers / x.Items
		heads[i] = h
		size += padded(numbers * width)
	}
	header := map[string]any{"kind": a.Kind, "arrays": heads}
	for k, v := range a.Meta {
		header[k] = v
	}
	text, err := json.Marshal(header)
	if err != nil {
		return nil, err
	}
	start := padded(len(magic) + 4 + len(text))
	out := make([]byte, start, start+size)
	copy(out, magic)
	binary.LittleEndian.PutUint32(out[len(magic):], uint32(start-len(magic)-4))
	n := copy(out[len(magic)+4:], text)
	for i := len(magic) + 4 + n; i < start; i++ {
		out[i] = ' '
	}
	for i := range a.List {
		out = appendArray(out, &a.List[i])
	}
	return out, nil
}

func padded(n int) int { return (n + align - 1) / align * align }

func appendArray(out []byte, x *job.Array) []byte {
	out = append(out, x.U8...)
	for _, v := range x.U32 {
		out = binary.LittleEndian.AppendUint32(out, v)
	}
	for _, v := range x.F32 {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(v))
	}
	return append(out, make([]byte, padded(len(out))-len(out))...)
}
