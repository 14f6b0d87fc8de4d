package archive

import (
	"crypto/sha256"
	"encoding/hex"
	"regexp"
	"strconv"
	"time"
)

// Format and FormatVersion tell an archive from others.
const (
	Format        = "foldwright-workspace"
	FormatVersion = 1
)

// A Manifest is what manifest.json says.
type Manifest struct {
	Format  string  `json:"format"`
	Version int     `json:"format_version"`
	Designs []Entry `json:"designs"` // by ascending id
}

// An Entry names the design.json of a design.
type Entry struct {
	ID     string `json:"id"`
	SHA256 string `json:"sha256"`
}

// A Design is what design.json says. Title and tags are those of its newest
// version, and not read back.
type Design struct {
	ID        string     `json:"id"`
	Title     string     `json:"title"`
	Tags      []string   `json:"tags"`
	DeletedAt *time.Time `json:"deleted_at,omitempty"`
	Versions  []Version  `json:"versions"` // by ascending number, from 1
}

// A Version is what is said of one.
type Version struct {
	Number     int       `json:"version"`
	CreatedAt  time.Time `json:"created_at"`
	Message    string    `json:"message"`
	Author     string    `json:"author"`
	Labels     []string  `json:"labels"`
	DesignHash string    `json:"design_hash"`
	SHA256     string    `json:"sha256"` // of the bytes
}

const manifestName = "manifest.json"

// backupName is the entry by which a file of package backup is known.
const backupName = "backup.json"

// idForm is that of ids in addresses, and safe as a name of a file.
var idForm = regexp.MustCompile(`^[A-Za-z0-9_-]{1,64}$`)

func designName(id string) string { return "designs/" + id + "/design.json" }

func versionName(id string, n int) string {
	return "designs/" + id + "/versions/" + strconv.Itoa(n) + ".json"
}

func hashOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
