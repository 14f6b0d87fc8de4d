// Package kubernetes holds the manifests against the schemas of Kubernetes and a
// linter for it.
package kubernetes

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"foldwright/testdata/outside"
)

// release is that of the Kubernetes whose schemas are used.
const release = "v1.34.4"

// overlays are what is applied as a whole; files what is applied by itself.
var (
	overlays = []string{"managed", "operator", "testdata/whole"}
	files    = []string{"migrate.yaml", "first-key.yaml"}
)

// kindsUsed are the kinds of the documents.
var kindsUsed = []string{
	"ConfigMap", "Deployment", "HorizontalPodAutoscaler", "Ingress", "Job", "Namespace", "NetworkPolicy",
	"PodDisruptionBudget", "Service", "ServiceAccount",
}

// resources are kinds that other programs bring; their schemas are not at hand.
const resources = "Cluster,ServiceMonitor"

// output is what a program writes; the test fails if it does.
func output(t *testing.T, in []byte, program string, args ...string) []byte {
	t.Helper()
	command := exec.CommandContext(t.Context(), program, args...)
	var errors bytes.Buffer
	command.Stdin, command.Stderr = bytes.NewReader(in), &errors
	out, err := command.Output()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s%s", program, strings.Join(args, " "), err, errors.Bytes(), out)
	}
	return out
}

// manifests are the documents that an overlay or a file makes.
func manifests(t *testing.T) map[string][]byte {
	t.Helper()
	kustomize := outside.Program(t, "kustomize")
	made := map[string][]byte{}
	for _, overlay := range overlays {
		made[overlay] = output(t, nil, kustomize, "build", overlay)
	}
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		made[file] = raw
	}
	return made
}

func TestManifestsMatchTheSchemasOfKubernetes(t *testing.T) {
	kubeconform := outside.Program(t, "kubeconform")
	folder := schemas(t)
	check := []string{"-strict", "-skip", resources, "-schema-location", filepath.Join(folder, "{{.ResourceKind}}{{.KindSuffix}}.json")}
	for name, documents := range manifests(t) {
		output(t, documents, kubeconform, check...)

		// The check can fail: a misspelt field is refused.
		if !bytes.Contains(documents, []byte("readOnlyRootFilesystem")) {
			t.Errorf("%s: no container with a read-only root", name)
		}
		misspelt := exec.CommandContext(t.Context(), kubeconform, check...)
		misspelt.Stdin = bytes.NewReader(bytes.ReplaceAll(documents, []byte("readOnlyRootFilesystem"), []byte("readOnlyRootFileSystem")))
		if misspelt.Run() == nil {
			t.Errorf("%s: a misspelt field passes", name)
		}
	}
}

func TestManifestsPassTheLinter(t *testing.T) {
	score := outside.Program(t, "kube-score")
	made := manifests(t)
	// What is applied by itself runs within what the overlay sets up.
	whole := made[overlays[0]]
	for _, file := range files {
		whole = append(append(whole, "\n---\n"...), made[file]...)
	}
	output(t, whole, score, "score", "-")
	for _, overlay := range overlays[1:] {
		output(t, made[overlay], score, "score", "-")
	}
}

// schemas writes the published schemas of Kubernetes, a file for each kind, with
// fields that they do not name refused.
func schemas(t *testing.T) (folder string) {
	t.Helper()
	folder = t.TempDir()
	fetch := exec.CommandContext(t.Context(), "go", "mod", "download", "-json", "k8s.io/kubernetes@"+release)
	fetch.Dir = folder // apart from the modules of the project
	raw, err := fetch.Output()
	if err != nil {
		outside.Missing(t, "the schemas of Kubernetes: %v", err)
	}
	var module struct{ Dir string }
	if err := json.Unmarshal(raw, &module); err != nil {
		t.Fatal(err)
	}
	if raw, err = os.ReadFile(filepath.Join(module.Dir, "api", "openapi-spec", "swagger.json")); err != nil {
		t.Fatal(err)
	}
	var published struct{ Definitions map[string]map[string]any }
	if err := json.Unmarshal(raw, &published); err != nil {
		t.Fatal(err)
	}
	type kind struct{ Group, Version, Kind string }
	kinds := map[string]kind{}
	for name, definition := range published.Definitions {
		if definition["properties"] != nil {
			definition["additionalProperties"] = false
		}
		if definition["format"] == "int-or-string" {
			definition["type"] = []string{"integer", "string"}
		}
		listed, _ := json.Marshal(definition["x-kubernetes-group-version-kind"])
		var of []kind
		if json.Unmarshal(listed, &of) == nil && len(of) == 1 {
			kinds[name] = of[0]
		}
	}
	for name, k := range kinds {
		// As the validator forms the names of files: kind, group's first word, version.
		suffix := "-" + k.Version
		if k.Group != "" {
			group, _, _ := strings.Cut(k.Group, ".")
			suffix = "-" + group + suffix
		}
		if !slices.Contains(kindsUsed, k.Kind) {
			continue
		}
		schema, err := json.Marshal(map[string]any{"$ref": "#/definitions/" + name, "definitions": published.Definitions})
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, strings.ToLower(k.Kind)+suffix+".json"), schema, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}
