/* Tilts a machine on four point contacts slowly and says when it loses a
 * wheel. Two rigid bodies, chassis and axle, are joined by a hinge along the
 * machine; gravity turns instead of the ground.
 *
 * Friction: the standing rear wheel holds in both directions, the wheel that
 * is about to lift only sideways, the front wheels only sideways (they roll).
 * With infinite friction lengthwise on the lifting wheel an engine tips some
 * degrees late on nose-up headings, because a wheel without load would still
 * push.
 *
 * Input, one machine a line: kind L T Tf hp m x y z mf hf ml dl r heading
 *   kind 0 pivoting front axle, 1 rigid, 2 tricycle; ml is a liquid that hangs
 *   as a pendulum of length dl below the rear axle, at height r.
 * Output: the slope in degrees and the event: rear (the uphill rear wheel),
 * front (a front wheel, mostly the uphill one), rearaxle, frontaxle, side (both uphill
 * wheels of a rigid machine).
 */
#include <math.h>
#include <ode/ode.h>
#include <stdio.h>

static const double G = 9.80665, DT = 5e-4, RATE = 0.25; /* s, degrees per s */
static const double DEG = M_PI / 180;

static dBodyID box(dWorldID w, double m, double x, double y, double z, double size) {
	dBodyID b = dBodyCreate(w);
	dMass mass;
	dMassSetBoxTotal(&mass, m, size, size * 0.7, size * 0.5);
	dBodySetMass(b, &mass);
	dBodySetPosition(b, x, y, z);
	return b;
}

/* contact puts a joint at a point of a body that touches the ground. */
static int contact(dWorldID w, dJointGroupID g, dBodyID b, const dVector3 rel, int along, dJointFeedback *fb) {
	dVector3 p;
	dBodyGetRelPointPos(b, rel[0], rel[1], rel[2], p);
	fb->f1[2] = 0;
	if (p[2] > 1e-5) return 0;
	dContact c = {0};
	c.surface.mode = dContactMu2 | dContactFDir1 | dContactSoftCFM | dContactSoftERP;
	c.surface.mu = dInfinity;              /* sideways */
	c.surface.mu2 = along ? dInfinity : 0; /* lengthwise */
	c.surface.soft_cfm = 1e-12;
	c.surface.soft_erp = 0.1;
	dVector3 side;
	dBodyVectorToWorld(b, 0, 1, 0, side);
	double n = hypot(side[0], side[1]);
	c.fdir1[0] = side[0] / n;
	c.fdir1[1] = side[1] / n;
	c.geom.pos[0] = p[0];
	c.geom.pos[1] = p[1];
	c.geom.pos[2] = 0;
	c.geom.normal[2] = 1;
	c.geom.depth = p[2] < 0 ? -p[2] : 0;
	dJointID j = dJointCreateContact(w, g, &c);
	dJointAttach(j, b, 0);
	dJointSetFeedback(j, fb);
	return 1;
}

int main(void) {
	double kind, L, T, Tf, hp, m, x, y, z, mf, hf, ml, dl, r, th;
	dInitODE2(0);
	while (scanf("%lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf", &kind, &L, &T, &Tf, &hp, &m, &x, &y, &z,
	             &mf, &hf, &ml, &dl, &r, &th) == 15) {
		dWorldID w = dWorldCreate();
		dWorldSetERP(w, 0.2);
		dWorldSetCFM(w, 1e-12);
		dJointGroupID g = dJointGroupCreate(0);
		dBodyID body = box(w, m, x, y, z, 1.2), axle = body;
		if (mf > 0) {
			axle = box(w, mf, L, 0, hf, 0.6);
			if (kind == 0) {
				dJointID h = dJointCreateHinge(w, 0);
				dJointAttach(h, body, axle);
				dJointSetHingeAnchor(h, L, 0, hp);
				dJointSetHingeAxis(h, 1, 0, 0);
			} else {
				dJointID h = dJointCreateFixed(w, 0);
				dJointAttach(h, body, axle);
				dJointSetFixed(h);
			}
		}
		if (ml > 0) {
			dBodyID q = box(w, ml, 0, 0, r - dl, 0.1);
			dJointID h = dJointCreateHinge(w, 0);
			dJointAttach(h, body, q);
			dJointSetHingeAnchor(h, 0, 0, r);
			dJointSetHingeAxis(h, 0, 1, 0);
			dBodySetAngularDamping(q, 0.01);
		}
		/* front left, front right, rear left, rear right */
		dVector3 at[4] = {{0, Tf / 2, -hf}, {0, -Tf / 2, -hf}, {-x, T / 2 - y, -z}, {-x, -T / 2 - y, -z}};
		dBodyID of[4] = {axle, axle, body, body};
		if (axle == body)
			for (int i = 0; i < 2; i++) at[i][0] = L - x, at[i][1] -= y, at[i][2] = -z;
		if (kind == 2) at[0][1] = at[1][1] = axle == body ? -y : 0;
		/* downhill on the right for headings of 0 to 180 degrees */
		int up = sin(th * DEG) >= 0 ? 0 : 1;
		/* straight up or down the slope neither rear wheel lifts before the other */
		int straight = fabs(sin(th * DEG)) < 1e-6;
		double slope = 0, gone[4] = {0}, since[4] = {0};
		const char *event = "none";
		double settle = 1;
		for (long s = 0; slope < 80; s++) {
			double t = s * DT;
			if (t > settle) slope = (t - settle) * RATE;
			double sb = sin(slope * DEG), cb = cos(slope * DEG);
			dWorldSetGravity(w, -G * sb * cos(th * DEG), -G * sb * sin(th * DEG), -G * cb);
			dJointFeedback fb[4];
			int n = kind == 2 ? 1 : 0; /* one front contact is enough */
			for (int i = n; i < 4; i++) contact(w, g, of[i], at[i], i >= 2 && (straight || i != 2 + up), &fb[i]);
			dWorldStep(w, DT);
			if (kind == 2) fb[0] = fb[1];
			for (int i = 0; i < 4; i++) {
				if (fb[i].f1[2] > 1e-6) gone[i] = 0;
				else if (gone[i]++ == 0) since[i] = slope;
			}
			dJointGroupEmpty(g);
			if (t < settle) continue;
			const double long_enough = 40;
			double a = gone[up], b = gone[2 + up];
			if (kind == 1) { /* a rigid machine's single wheels are indeterminate */
				if (gone[0] > long_enough && gone[1] > long_enough) { event = "frontaxle"; slope = fmax(since[0], since[1]); break; }
				if (gone[2] > long_enough && gone[3] > long_enough) { event = "rearaxle"; slope = fmax(since[2], since[3]); break; }
				if (a > long_enough && b > long_enough) { event = "side"; slope = fmax(since[up], since[2 + up]); break; }
				continue;
			}
			/* the second wheel follows the first within milliseconds: only at once is together */
			double at_once = 4 * DT * RATE;
			if (a > long_enough && gone[1 - up] > long_enough && fabs(since[0] - since[1]) < at_once) { event = "frontaxle"; slope = since[up]; break; }
			if (b > long_enough && gone[3 - up] > long_enough && fabs(since[2] - since[3]) < at_once) { event = "rearaxle"; slope = since[2 + up]; break; }
			double other = gone[1 - up];
			if ((a > 3 * long_enough || other > 3 * long_enough) && kind == 0) {
				event = "front";
				slope = a > other ? since[up] : since[1 - up];
				break;
			}
			if (b > 3 * long_enough) { event = "rear"; slope = since[2 + up]; break; }
		}
		printf("%.3f %s\n", slope, event);
		fflush(stdout);
		dJointGroupDestroy(g);
		dWorldDestroy(w);
	}
	dCloseODE();
	return 0;
}
