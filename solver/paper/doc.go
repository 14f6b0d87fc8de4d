// Package paper tells what the paper of a posed design is like: the shape each
// panel is left with, and where the straight parts of strips lie. Pictures and
// models are made of it.
package paper
