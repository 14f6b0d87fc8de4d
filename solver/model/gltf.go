package model

// The parts of glTF 2.0 (Khronos Group, version 2.0.1, also ISO/IEC 12113:2022)
// that models are made of.

type document struct {
	Asset       asset        `json:"asset"`
	Scene       int          `json:"scene"`
	Scenes      []scene      `json:"scenes"`
	Nodes       []node       `json:"nodes"`
	Meshes      []mesh       `json:"meshes"`
	Materials   []material   `json:"materials"`
	Animations  []animation  `json:"animations"`
	Accessors   []accessor   `json:"accessors"`
	BufferViews []bufferView `json:"bufferViews"`
	Buffers     []buffer     `json:"buffers"`
}

type asset struct {
	Version   string `json:"version"`
	Generator string `json:"generator"`
}

type scene struct {
	Name  string `json:"name"`
	Nodes []int  `json:"nodes"`
}

type node struct {
	Name        string      `json:"name"`
	Mesh        *int        `json:"mesh,omitempty"`
	Children    []int       `json:"children,omitempty"`
	Translation *vec3       `json:"translation,omitempty"`
	Rotation    *[4]float32 `json:"rotation,omitempty"`
	Scale       *vec3       `json:"scale,omitempty"`
}

type mesh struct {
	Name       string      `json:"name"`
	Primitives []primitive `json:"primitives"`
}

type primitive struct {
	Attributes attributes `json:"attributes"`
	Indices    int        `json:"indices"`
	Material   int        `json:"material"`
}

type attributes struct {
	Position int `json:"POSITION"`
	Normal   int `json:"NORMAL"`
}

type material struct {
	Name string `json:"name"`
	PBR  pbr    `json:"pbrMetallicRoughness"`
}

type pbr struct {
	Colour    [4]float32 `json:"baseColorFactor"`
	Metallic  float32    `json:"metallicFactor"`
	Roughness float32    `json:"roughnessFactor"`
}

type animation struct {
	Name     string    `json:"name"`
	Channels []channel `json:"channels"`
	Samplers []sampler `json:"samplers"`
	Extras   openings  `json:"extras"`
}

// openings are the openings at the ends of an animation, in degrees.
type openings struct {
	From float64 `json:"openingFromDegrees"`
	To   float64 `json:"openingToDegrees"`
}

type channel struct {
	Sampler int    `json:"sampler"`
	Target  target `json:"target"`
}

type target struct {
	Node int    `json:"node"`
	Path string `json:"path"`
}

type sampler struct {
	Input         int    `json:"input"`
	Output        int    `json:"output"`
	Interpolation string `json:"interpolation"`
}

type accessor struct {
	BufferView    int       `json:"bufferView"`
	ByteOffset    int       `json:"byteOffset"`
	ComponentType int       `json:"componentType"`
	Count         int       `json:"count"`
	Type          string    `json:"type"`
	Min           []float32 `json:"min,omitempty"`
	Max           []float32 `json:"max,omitempty"`
}

type bufferView struct {
	Buffer     int `json:"buffer"`
	ByteOffset int `json:"byteOffset"`
	ByteLength int `json:"byteLength"`
	ByteStride int `json:"byteStride,omitempty"`
	Target     int `json:"target,omitempty"`
}

type buffer struct {
	ByteLength int `json:"byteLength"`
}

// Numbers that stand for names in glTF.
const (
	typeUnsignedInt    = 5125
	typeFloat          = 5126
	arrayBuffer        = 34962
	elementArrayBuffer = 34963
)
