// Command kubernetes holds the indexed job of examples/sweep to the types of the batch API
// that a cluster reads it with, from module k8s.io/api: a field that they do not have, or
// that is of another type or written twice, is an error. It then holds the parts of the
// sweep to the parts of the job, and runs the job's command once for each index with a
// sweep that only prints what it is asked.
//
//	go -C internal/crosscheck/kubernetes run . ../../../examples/sweep/cluster/kubernetes.yaml
//
// No cluster is asked. Not part of CI.
package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	batch "k8s.io/api/batch/v1"
	core "k8s.io/api/core/v1"
	"sigs.k8s.io/yaml"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: kubernetes FILE")
		os.Exit(2)
	}
	if err := check(os.Args[1]); err != nil {
		fmt.Fprintf(os.Stderr, "%s: %v\n", os.Args[1], err)
		os.Exit(1)
	}
}

func check(name string) error {
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	var job batch.Job
	if err := yaml.UnmarshalStrict(text, &job, yaml.DisallowUnknownFields); err != nil {
		return err
	}
	s := &job.Spec
	pod := &s.Template.Spec
	switch {
	case job.APIVersion != batch.SchemeGroupVersion.String() || job.Kind != "Job":
		return fmt.Errorf("it is %s %s, not %s Job", job.APIVersion, job.Kind, batch.SchemeGroupVersion)
	case job.Name == "":
		return fmt.Errorf("metadata.name must be given")
	case s.CompletionMode == nil || *s.CompletionMode != batch.IndexedCompletion:
		return fmt.Errorf("spec.completionMode must be %s", batch.IndexedCompletion)
	case s.Completions == nil || s.Parallelism == nil || *s.Completions < 1 || *s.Parallelism > *s.Completions:
		return fmt.Errorf("spec.completions must be given, and no fewer than spec.parallelism")
	case pod.RestartPolicy != core.RestartPolicyOnFailure && pod.RestartPolicy != core.RestartPolicyNever:
		return fmt.Errorf("a job's restartPolicy must be %s or %s", core.RestartPolicyOnFailure, core.RestartPolicyNever)
	case len(pod.Containers) != 1:
		return fmt.Errorf("it has %d containers", len(pod.Containers))
	}
	volumes := map[string]bool{}
	for _, v := range pod.Volumes {
		volumes[v.Name] = true
	}
	c := &pod.Containers[0]
	for _, m := range c.VolumeMounts {
		if !volumes[m.Name] {
			return fmt.Errorf("volume %s is mounted and is not there", m.Name)
		}
	}
	dir, err := os.MkdirTemp("", "kubernetes")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	if err := os.WriteFile(filepath.Join(dir, "sweep"), []byte("#!/bin/sh\nfor a; do printf '%s\\n' \"$a\"; done\n"), 0o755); err != nil {
		return err
	}
	n := int(*s.Completions)
	for i := range n {
		cmd := exec.Command(c.Command[0], append(c.Command[1:], c.Args...)...)
		// The index is what the API promises every pod of an indexed job.
		cmd.Env = []string{"PATH=" + dir, fmt.Sprintf("JOB_COMPLETION_INDEX=%d", i)}
		out, err := cmd.Output()
		if err != nil {
			return fmt.Errorf("index %d: %w", i, err)
		}
		args := strings.Split(strings.TrimSpace(string(out)), "\n")
		shard := ""
		for j, a := range args[:len(args)-1] {
			if a == "-shard" {
				shard = args[j+1]
			}
		}
		if want := fmt.Sprintf("%d/%d", i+1, n); shard != want {
			return fmt.Errorf("index %d does part %q, not %s", i, shard, want)
		}
	}
	fmt.Printf("a Job of %s whose fields are all in the API; %d indices do the parts 1/%d to %d/%d\n", batch.SchemeGroupVersion, n, n, n, n)
	return nil
}
