package model

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"foldwright/solver/kinematics"
	"foldwright/testdata/outside"
)

// validate is a program for the validator of the Khronos Group: it reads the
// models named to it and writes their reports.
const validate = `
const fs = require("fs"), validator = require("gltf-validator");
(async () => {
  const out = [];
  for (const name of process.argv.slice(2)) {
    const r = await validator.validateBytes(new Uint8Array(fs.readFileSync(name)));
    out.push({name, errors: r.issues.numErrors, warnings: r.issues.numWarnings,
      messages: r.issues.messages.map(m => m.severity + " " + m.code + " " + m.message + " " + m.pointer)});
  }
  console.log(JSON.stringify(out));
})();
`

// validatorVersion is the one these models were first found valid by.
const validatorVersion = "gltf-validator@2.0.0-dev.3.10"

// validator installs the validator in a folder of its own, or skips the test
// where that is not possible.
func validator(t *testing.T) (dir string) {
	t.Helper()
	outside.Program(t, "node")
	outside.Program(t, "npm")

	dir = t.TempDir()
	install := exec.Command("npm", "install", "--prefix", dir, "--no-audit", "--no-fund", "--prefer-offline", validatorVersion)
	install.Dir = dir
	if out, err := install.CombinedOutput(); err != nil {
		outside.Missing(t, "%v", "the validator cannot be installed: "+err.Error()+"\n"+string(out))
	}
	if err := os.WriteFile(filepath.Join(dir, "validate.js"), []byte(validate), 0o644); err != nil {
		t.Fatal(err)
	}
	return dir
}

func TestModelsAreValid(t *testing.T) {
	dir := validator(t)
	args := []string{filepath.Join(dir, "validate.js")}
	each(t, func(t *testing.T, a *kinematics.Assembly) {
		name := filepath.Join(dir, filepath.Base(t.Name())+".glb")
		if err := os.WriteFile(name, write(t, a, Options{}), 0o644); err != nil {
			t.Fatal(err)
		}
		args = append(args, name)
	})
	cmd := exec.Command("node", args...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var reports []struct {
		Name             string
		Errors, Warnings int
		Messages         []string
	}
	if err := json.Unmarshal(out, &reports); err != nil {
		t.Fatalf("%v in %s", err, out)
	}
	if len(reports) != len(args)-1 {
		t.Errorf("%d reports of %d models", len(reports), len(args)-1)
	}
	for _, r := range reports {
		if r.Errors > 0 || r.Warnings > 0 || len(r.Messages) > 0 {
			t.Errorf("%s: %q", filepath.Base(r.Name), r.Messages)
		}
	}
}
