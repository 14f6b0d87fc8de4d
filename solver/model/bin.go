package model

import (
	"encoding/binary"
	"math"
)

// bin collects the binary part of a model: one stretch of bytes for each use,
// all of components of four bytes, so that everything is aligned.
type bin struct {
	accessors []accessor
	places    []byte // vertices: positions and normals
	indices   []byte
	motion    []byte
}

// The stretches, in the order they are written.
const (
	placesView = iota
	indicesView
	motionView
)

func appendFloats(b []byte, values ...float32) []byte {
	for _, v := range values {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
	}
	return b
}

func (b *bin) add(a accessor) int {
	b.accessors = append(b.accessors, a)
	return len(b.accessors) - 1
}

// vertices adds one attribute of the vertices of a mesh.
func (b *bin) vertices(list []vec3, bounds bool) int {
	a := accessor{BufferView: placesView, ByteOffset: len(b.places), ComponentType: typeFloat, Count: len(list), Type: "VEC3"}
	if bounds {
		low, high := list[0], list[0]
		for _, p := range list {
			for k, v := range p {
				low[k], high[k] = min(low[k], v), max(high[k], v)
			}
		}
		a.Min, a.Max = low[:], high[:]
	}
	for _, p := range list {
		b.places = appendFloats(b.places, p[:]...)
	}
	return b.add(a)
}

func (b *bin) triangles(indices []int) int {
	a := accessor{BufferView: indicesView, ByteOffset: len(b.indices), ComponentType: typeUnsignedInt, Count: len(indices), Type: "SCALAR"}
	for _, i := range indices {
		b.indices = binary.LittleEndian.AppendUint32(b.indices, uint32(i))
	}
	return b.add(a)
}

// times adds the times of keys, which grow.
func (b *bin) times(list []float32) int {
	a := accessor{
		BufferView: motionView, ByteOffset: len(b.motion), ComponentType: typeFloat, Count: len(list), Type: "SCALAR",
		Min: []float32{list[0]}, Max: []float32{list[len(list)-1]},
	}
	b.motion = appendFloats(b.motion, list...)
	return b.add(a)
}

// values adds what keys are set to, width numbers each.
func (b *bin) values(list []float32, width int) int {
	a := accessor{
		BufferView: motionView, ByteOffset: len(b.motion), ComponentType: typeFloat, Count: len(list) / width,
		Type: [...]string{3: "VEC3", 4: "VEC4"}[width],
	}
	b.motion = appendFloats(b.motion, list...)
	return b.add(a)
}

// views describes the stretches, and joins them.
func (b *bin) views() ([]bufferView, []byte) {
	at := 0
	view := func(data []byte, stride, target int) bufferView {
		v := bufferView{ByteOffset: at, ByteLength: len(data), ByteStride: stride, Target: target}
		at += len(data)
		return v
	}
	views := []bufferView{
		placesView:  view(b.places, 12, arrayBuffer),
		indicesView: view(b.indices, 0, elementArrayBuffer),
		motionView:  view(b.motion, 0, 0),
	}
	all := make([]byte, 0, at)
	all = append(all, b.places...)
	all = append(all, b.indices...)
	return views, append(all, b.motion...)
}
