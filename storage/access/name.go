package access

import (
	"fmt"
	"net/url"
	"regexp"
	"strings"
)

// Local is the workspace of whoever runs the service for themselves.
const Local = "local"

var workspaceRule = regexp.MustCompile(`^[a-z][a-z0-9_-]{0,39}$`)

// CheckWorkspace says what is wrong with the name of a workspace.
func CheckWorkspace(name string) error {
	if !workspaceRule.MatchString(name) {
		return fmt.Errorf("a workspace is named by a lower-case letter and up to 39 more lower-case letters, digits, hyphens and underscores")
	}
	return nil
}

// CheckOrigin says what is wrong with an origin, which must be as a browser
// writes it in the Origin header (RFC 6454, section 6.2): scheme, host in lower
// case and a port unless it is the scheme's own.
func CheckOrigin(origin string) error {
	u, err := url.Parse(origin)
	const longest = 255
	if err != nil || len(origin) > longest || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" ||
		origin != u.Scheme+"://"+strings.ToLower(u.Host) || u.Hostname() == "" || strings.HasSuffix(u.Host, ":") ||
		u.Scheme == "https" && u.Port() == "443" || u.Scheme == "http" && u.Port() == "80" || strings.Contains(origin, "*") {
		return fmt.Errorf("an origin is written as browsers send it: https://workshop.example, without a path or slash at the end, in lower case, with a port only if it is not the usual one")
	}
	return nil
}
