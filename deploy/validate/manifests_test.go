// Package validate holds the deployment files against the types of the systems
// that read them. It is a module of its own, so that the service does not
// carry their code: cd deploy/validate && go test ./...
package validate

import (
	"bytes"
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/compose-spec/compose-go/v2/cli"
	monitoringv1 "github.com/prometheus-operator/prometheus-operator/pkg/apis/monitoring/v1"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	appsv1 "k8s.io/api/apps/v1"
	autoscalingv2 "k8s.io/api/autoscaling/v2"
	corev1 "k8s.io/api/core/v1"
	networkingv1 "k8s.io/api/networking/v1"
	policyv1 "k8s.io/api/policy/v1"
	metav1 "k8s.io/apimachinery/pkg/apis/meta/v1"
	"k8s.io/apimachinery/pkg/runtime"
	"k8s.io/apimachinery/pkg/runtime/serializer"
	podsecurity "k8s.io/pod-security-admission/api"
	"k8s.io/pod-security-admission/policy"
	"sigs.k8s.io/yaml"
)

// build is what kustomize makes of a folder.
func build(t *testing.T, folder string) []byte {
	t.Helper()
	cmd := exec.Command("go", "tool", "kustomize", "build", folder)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	require.NoError(t, cmd.Run(), "%s", errs.String())
	return out.Bytes()
}

var strict = func() runtime.Decoder {
	scheme := runtime.NewScheme()
	for _, add := range []func(*runtime.Scheme) error{
		appsv1.AddToScheme, autoscalingv2.AddToScheme, corev1.AddToScheme, networkingv1.AddToScheme, policyv1.AddToScheme,
		monitoringv1.AddToScheme,
	} {
		if err := add(scheme); err != nil {
			panic(err)
		}
	}
	return serializer.NewCodecFactory(scheme, serializer.EnableStrict).UniversalDeserializer()
}()

// decode reads documents as the API server would with strict field validation: unknown or repeated members are errors.
func decode(data []byte) ([]runtime.Object, error) {
	var out []runtime.Object
	for _, one := range strings.Split(string(data), "\n---\n") {
		o, _, err := strict.Decode([]byte(one), nil, nil)
		if err != nil {
			return nil, fmt.Errorf("%w in\n%.200s", err, one)
		}
		out = append(out, o)
	}
	return out, nil
}

func ptr[T any](v T) *T { return &v }

// restricted holds a pod to the Pod Security Standard of that name, by the admission controller's own checks.
func restricted(t *testing.T, meta *metav1.ObjectMeta, spec *corev1.PodSpec) []string {
	t.Helper()
	evaluator, err := policy.NewEvaluator(policy.DefaultChecks())
	require.NoError(t, err)
	var out []string
	for _, r := range evaluator.EvaluatePod(podsecurity.LevelVersion{Level: podsecurity.LevelRestricted, Version: podsecurity.LatestVersion()}, meta, spec) {
		if !r.Allowed {
			out = append(out, r.ForbiddenReason+": "+r.ForbiddenDetail)
		}
	}
	return out
}

func TestManifests(t *testing.T) {
	for folder, kinds := range map[string]int{
		"../kubernetes/base": 7, "../kubernetes/valkey": 11, "../kubernetes/keys": 8, "../kubernetes/bots": 15,
		"../kubernetes/all": 18,
	} {
		data := build(t, folder)
		objects, err := decode(data)
		require.NoError(t, err, folder)
		assert.Len(t, objects, kinds, folder)
		for _, o := range objects {
			d, ok := o.(*appsv1.Deployment)
			if !ok {
				continue
			}
			assert.Empty(t, restricted(t, &d.Spec.Template.ObjectMeta, &d.Spec.Template.Spec), d.Name)
			assert.False(t, *d.Spec.Template.Spec.AutomountServiceAccountToken, d.Name)
			if d.Name == "saltwright" {
				own := d.Spec.Template.Spec
				for _, e := range own.Containers[0].Env {
					if wait, err := time.ParseDuration(e.Value); err == nil && e.Name != "GOMEMLIMIT" {
						own.TerminationGracePeriodSeconds = ptr(*own.TerminationGracePeriodSeconds - int64(wait.Seconds()))
					}
				}
				assert.Positive(t, *own.TerminationGracePeriodSeconds, "the grace period holds the drain delay and the shutdown timeout")
				secretsAreThere(t, own)
			}
			for name, value := range d.Spec.Selector.MatchLabels {
				assert.Equal(t, value, d.Spec.Template.Labels[name], "%s must select its own pods", d.Name)
			}
			for _, c := range d.Spec.Template.Spec.Containers {
				assert.True(t, *c.SecurityContext.ReadOnlyRootFilesystem, d.Name)
				assert.False(t, c.Resources.Limits.Memory().IsZero(), d.Name)
				assert.False(t, c.Resources.Requests.Cpu().IsZero(), d.Name)
				assert.NotNil(t, c.ReadinessProbe, d.Name)
			}
		}
	}
}

// Several bots roll one by one, reach their store and find it under the name that they ask for; what it acknowledged it
// keeps through a restart and for want of memory.
func TestSeveralBotsShareAStoreThatKeeps(t *testing.T) {
	objects, err := decode(build(t, "../kubernetes/bots"))
	require.NoError(t, err)
	var bot *appsv1.Deployment
	var store *appsv1.StatefulSet
	services, policies := map[string]*corev1.Service{}, map[string]*networkingv1.NetworkPolicy{}
	for _, o := range objects {
		switch o := o.(type) {
		case *appsv1.Deployment:
			if o.Name == "bot" {
				bot = o
			}
		case *appsv1.StatefulSet:
			store = o
		case *corev1.Service:
			services[o.Name] = o
		case *networkingv1.NetworkPolicy:
			policies[o.Name] = o
		}
	}
	require.NotNil(t, bot)
	require.NotNil(t, store)
	assert.Greater(t, *bot.Spec.Replicas, int32(1))
	assert.Equal(t, appsv1.RollingUpdateDeploymentStrategyType, bot.Spec.Strategy.Type)
	assert.Zero(t, bot.Spec.Strategy.RollingUpdate.MaxUnavailable.IntValue())

	pod := store.Spec.Template
	assert.Empty(t, restricted(t, &pod.ObjectMeta, &pod.Spec))
	assert.Equal(t, int32(1), *store.Spec.Replicas, "two servers that know nothing of each other share nothing")
	arguments := strings.Join(pod.Spec.Containers[0].Args, " ")
	assert.Contains(t, arguments, "--appendonly yes")
	assert.Contains(t, arguments, "--maxmemory-policy noeviction")
	mounted := pod.Spec.Containers[0].VolumeMounts[0]
	assert.Contains(t, arguments, "--dir "+mounted.MountPath)
	assert.Equal(t, store.Spec.VolumeClaimTemplates[0].Name, mounted.Name)

	env := bot.Spec.Template.Spec.Containers[0].Env
	at := slices.IndexFunc(env, func(e corev1.EnvVar) bool { return e.Name == "SALTWRIGHT_BOT_STORE_URL" })
	require.GreaterOrEqual(t, at, 0)
	address, err := url.Parse(env[at].Value)
	require.NoError(t, err)
	service := services[address.Hostname()]
	require.NotNil(t, service, "%s is a service here", address.Hostname())
	assert.Equal(t, address.Port(), fmt.Sprint(service.Spec.Ports[0].Port))
	assert.Equal(t, pod.Spec.Containers[0].Ports[0].Name, service.Spec.Ports[0].TargetPort.StrVal)
	for name, value := range service.Spec.Selector {
		assert.Equal(t, value, pod.Labels[name], "the service finds the store")
	}
	assert.Equal(t, service.Name, store.Spec.ServiceName)

	way, door := policies["bot-to-store"], policies["bot-store"]
	require.NotNil(t, way)
	require.NotNil(t, door)
	selects := func(selector metav1.LabelSelector, labels map[string]string) {
		t.Helper()
		for name, value := range selector.MatchLabels {
			assert.Equal(t, value, labels[name])
		}
	}
	selects(way.Spec.PodSelector, bot.Spec.Template.Labels)
	selects(*way.Spec.Egress[0].To[0].PodSelector, pod.Labels)
	selects(door.Spec.PodSelector, pod.Labels)
	selects(*door.Spec.Ingress[0].From[0].PodSelector, bot.Spec.Template.Labels)
	assert.Empty(t, door.Spec.Egress, "the store speaks to nobody")
}

// secretsAreThere holds every variable that names a file against what is mounted, and a store against its secret.
func secretsAreThere(t *testing.T, pod corev1.PodSpec) {
	t.Helper()
	one := pod.Containers[0]
	named := map[string]string{}
	for _, e := range one.Env {
		named[e.Name] = e.Value
		if !strings.HasSuffix(e.Name, "_FILE") {
			continue
		}
		at := slices.IndexFunc(one.VolumeMounts, func(m corev1.VolumeMount) bool { return m.MountPath == path.Dir(e.Value) })
		require.GreaterOrEqual(t, at, 0, "%s is in no mounted folder", e.Value)
		of := slices.IndexFunc(pod.Volumes, func(v corev1.Volume) bool { return v.Name == one.VolumeMounts[at].Name })
		require.GreaterOrEqual(t, of, 0, e.Value)
		assert.NotEmpty(t, pod.Volumes[of].Secret.SecretName, e.Value)
		assert.EqualValues(t, 0o440, *pod.Volumes[of].Secret.DefaultMode, "only the group of the pod reads %s", e.Value)
		assert.Equal(t, *pod.SecurityContext.RunAsGroup, *pod.SecurityContext.FSGroup)
	}
	assert.Equal(t, named["SALTWRIGHT_LIMIT_STORE_URL"] == "", named["SALTWRIGHT_ADDRESS_SECRET_FILE"] == "",
		"without a secret of the replicas' own a store would give addresses away")
}

// The example of everything selects and reaches what it is about.
func TestTheExampleOfEverythingComposes(t *testing.T) {
	objects, err := decode(build(t, "../kubernetes/all"))
	require.NoError(t, err)
	labels := map[string]map[string]string{} // of pods, by deployment
	ports := map[string][]string{}           // of services
	variables := map[string]string{}         // of the service
	for _, o := range objects {
		switch o := o.(type) {
		case *appsv1.Deployment:
			labels[o.Name] = o.Spec.Template.Labels
			for _, e := range o.Spec.Template.Spec.Containers[0].Env {
				if o.Name == "saltwright" {
					variables[e.Name] = e.Value
				}
			}
		case *corev1.Service:
			for _, p := range o.Spec.Ports {
				ports[o.Name] = append(ports[o.Name], p.Name)
			}
		}
	}
	for _, name := range []string{"LIMIT_STORE_URL", "ADDRESS_SECRET_FILE", "KEYS_FILE", "TRUSTED_PROXIES", "PUBLIC_URL", "DRAIN_DELAY"} {
		assert.NotEmpty(t, variables["SALTWRIGHT_"+name], "one component does not undo another: %s", name)
	}
	for _, o := range objects {
		switch o := o.(type) {
		case *autoscalingv2.HorizontalPodAutoscaler:
			require.Len(t, o.Spec.Metrics, 2, "processors, and what waits")
			data, err := os.ReadFile("../monitoring/adapter.yaml")
			require.NoError(t, err)
			var adapter struct {
				Rules []struct{ SeriesQuery string }
			}
			require.NoError(t, yaml.Unmarshal(data, &adapter))
			waiting := o.Spec.Metrics[1].Pods.Metric.Name
			assert.True(t, strings.HasPrefix(adapter.Rules[0].SeriesQuery, waiting+"{"), "the metric that the adapter offers")
		case *networkingv1.Ingress:
			require.NotEmpty(t, o.Spec.TLS)
			to := o.Spec.Rules[0].HTTP.Paths[0].Backend.Service
			assert.Contains(t, ports[to.Name], to.Port.Name)
			assert.Contains(t, o.Spec.TLS[0].Hosts, o.Spec.Rules[0].Host)
		case *monitoringv1.PodMonitor:
			for name, value := range o.Spec.Selector.MatchLabels {
				assert.Equal(t, value, labels["saltwright"][name])
			}
			assert.Equal(t, "saltwright", labels["saltwright"][o.Spec.JobLabel], "the job of the rules")
			assert.NotEqual(t, "saltwright", labels["bot"][o.Spec.JobLabel])
		case *monitoringv1.PrometheusRule:
			data, err := os.ReadFile("../monitoring/rules.yaml")
			require.NoError(t, err)
			var want monitoringv1.PrometheusRuleSpec
			require.NoError(t, yaml.UnmarshalStrict(data, &want))
			assert.Equal(t, want, o.Spec, "the rules are those of deploy/monitoring")
		}
	}
}

// Each check must be able to fail.
func TestSabotagedManifestsAreRefused(t *testing.T) {
	data := string(build(t, "../kubernetes/base"))
	for name, change := range map[string][2]string{
		"misspelt member": {"readOnlyRootFilesystem", "readOnlyRootFileSystem"},
		"wrong type":      {"maxReplicas: 10", "maxReplicas: ten"},
		"unknown kind":    {"kind: Service\n", "kind: Servis\n"},
		"removed version": {"apiVersion: policy/v1\n", "apiVersion: policy/v1beta1\n"},
	} {
		require.Contains(t, data, change[0], name)
		_, err := decode([]byte(strings.Replace(data, change[0], change[1], 1)))
		assert.Error(t, err, name)
	}
	objects, err := decode([]byte(strings.Replace(data, "runAsNonRoot: true", "runAsNonRoot: false", 1)))
	require.NoError(t, err)
	for _, o := range objects {
		if d, ok := o.(*appsv1.Deployment); ok {
			assert.NotEmpty(t, restricted(t, &d.Spec.Template.ObjectMeta, &d.Spec.Template.Spec))
		}
	}
}

func TestCompose(t *testing.T) {
	load := func(file string) error {
		o, err := cli.NewProjectOptions([]string{file})
		require.NoError(t, err)
		p, err := o.LoadProject(context.Background())
		if err == nil {
			for _, name := range []string{"one", "two"} {
				s := p.Services[name]
				assert.True(t, s.ReadOnly, name)
				assert.Equal(t, []string{"ALL"}, s.CapDrop, name)
				assert.Equal(t, "redis://valkey:6379/0", *s.Environment["SALTWRIGHT_LIMIT_STORE_URL"], name)
				require.Len(t, s.Secrets, 1, name)
				assert.Equal(t, "/run/secrets/"+s.Secrets[0].Source, *s.Environment["SALTWRIGHT_ADDRESS_SECRET_FILE"], name)
			}
		}
		return err
	}
	require.NoError(t, load("../compose.yaml"))
	data, err := os.ReadFile("../compose.yaml")
	require.NoError(t, err)
	bad := t.TempDir() + "/compose.yaml"
	require.NoError(t, os.WriteFile(bad, bytes.ReplaceAll(data, []byte("read_only"), []byte("read_onyl")), 0o644))
	assert.Error(t, load(bad), "a misspelt member is refused")
}
