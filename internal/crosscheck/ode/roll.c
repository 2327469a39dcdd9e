/* Lets machines pass an obstacle with the wheels of one side, by the Open Dynamics
 * Engine. Two rigid bodies, chassis and front axle, are joined by a hinge along the
 * machine with stops, which the engine keeps by its own constraint; the front tires are
 * single springs under the axle. The ground under a wheel is the greatest height of a
 * circle over points of the profile, sought by steps. The ground moves, and the
 * machine is held along and across by springs at the rear contacts and at the pin.
 *
 * Input, one machine a line: m x z Ix Iy Iz L T Tf p kr kf cr cf beta kind h w rr rf v
 *   left front open stop tend; kr, cr of one rear tire, kf, cf of both front tires; downhill
 *   is on the right; kind 1 box, 2 rut; left: the left wheels pass, else the right;
 *   front: the front wheel passes as well; open differential; stop 0 none.
 * Output: least load of the rear wheels, greatest roll, 1 if it rolled past balance,
 * 1 if the hinge met its stop.
 */
#include <math.h>
#include <ode/ode.h>
#include <stdio.h>

static const double G = 9.80665, DT = 5e-5, SHARE = 0.6;
static double kind, h, w, from;

static double ground(double x) {
	if (x <= from || x >= from + w) return 0;
	return kind == 1 ? h : -h;
}

/* under is how high a circle of radius r stands over the profile, less its radius. */
static double under(double x, double r) {
	double best = -1;
	int n = 400;
	for (int i = -n; i <= n; i++) {
		double d = r * i / n, z = ground(x + d) + sqrt(r * r - d * d) - r;
		if (z > best) best = z;
	}
	double edge[2] = {from, from + w};
	for (int i = 0; i < 2; i++) {
		double d = edge[i] - x;
		if (fabs(d) < r) {
			double z = fmax(0, kind == 1 ? h : -h) + sqrt(r * r - d * d) - r;
			if (z > best) best = z;
		}
	}
	return best;
}

int main(void) {
	double m, x, z, Ix, Iy, Iz, L, T, Tf, p, kr, kf, cr, cf, beta, rr, rf, v, left, front, open, stop, tend;
	dInitODE2(0);
	while (scanf("%lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf",
	             &m, &x, &z, &Ix, &Iy, &Iz, &L, &T, &Tf, &p, &kr, &kf, &cr, &cf, &beta, &kind, &h, &w, &rr, &rf, &v,
	             &left, &front, &open, &stop, &tend) == 26) {
		dWorldID world = dWorldCreate();
		dWorldSetERP(world, 0.2);
		dWorldSetCFM(world, 1e-12);
		dWorldSetGravity(world, 0, -G * sin(beta), -G * cos(beta));
		dBodyID body = dBodyCreate(world), axle = dBodyCreate(world);
		dMass mass;
		dMassSetParameters(&mass, m, 0, 0, 0, Ix, Iy, Iz, 0, 0, 0);
		dBodySetMass(body, &mass);
		dBodySetPosition(body, x, 0, z);
		dBodySetGyroscopicMode(body, 1);
		/* nearly without mass: the model's axle has none */
		dMassSetParameters(&mass, 0.004 * m, 0, 0, 0, 0.004 * m * Tf * Tf / 4, 0.1, 0.1, 0, 0, 0);
		dBodySetMass(axle, &mass);
		dBodySetPosition(axle, L, 0, p);
		dJointID hinge = dJointCreateHinge(world, 0);
		dJointAttach(hinge, body, axle);
		dJointSetHingeAnchor(hinge, L, 0, p);
		dJointSetHingeAxis(hinge, 1, 0, 0);
		if (stop > 0) {
			dJointSetHingeParam(hinge, dParamLoStop, -stop);
			dJointSetHingeParam(hinge, dParamHiStop, stop);
			dJointSetHingeParam(hinge, dParamBounce, 0);
		}
		from = L + rf + 0.8;
		double nf = m * G * x / L, nr = (m * G - nf) / 2;
		double settle = 6, least = 1e9, most = 0;
		int over = 0, met = 0;
		double balance = atan(fmax(T, Tf) / 2 / z) + 0.1;
		for (long s = 0;; s++) {
			double t = s * DT - settle, way = t > 0 ? v * t : 0;
			if (t > tend) break;
			double damp = t < 0 ? 8 : 1; /* settles first */
			double load[2], along = 0, shift = 0, force[2][3];
			dVector3 at[2], vel;
			for (int i = 0; i < 2; i++) { /* left, right rear */
				double y = i == 0 ? T / 2 : -T / 2;
				int passes = (i == 0) == (left > 0);
				double g = passes ? under(way, rr) : 0;
				dBodyGetRelPointPos(body, -x, y, -z, at[i]);
				dBodyGetRelPointVel(body, -x, y, -z, vel);
				double press = nr + kr * (g - at[i][2]);
				load[i] = press > 0 ? fmax(0, press - damp * cr * vel[2]) : 0;
				force[i][0] = load[i] > 0 && !open ? -SHARE * (kr * at[i][0] + damp * cr * vel[0]) : 0;
				force[i][1] = load[i] > 0 ? -SHARE * (kr * (at[i][1] - y) + damp * cr * vel[1]) : 0;
				force[i][2] = load[i];
				along += load[i] * (kr * at[i][0] + damp * cr * vel[0]);
				shift += load[i];
			}
			for (int i = 0; i < 2; i++) {
				if (open && shift > 0) force[i][0] = -2 * SHARE * along / shift * load[i] / shift;
				dBodyAddForceAtPos(body, force[i][0], force[i][1], force[i][2], at[i][0], at[i][1], at[i][2]);
			}
			double pin = 0;
			for (int i = 0; i < 2; i++) { /* left, right front */
				double y = i == 0 ? Tf / 2 : -Tf / 2;
				int passes = front && (i == 0) == (left > 0);
				double g = passes ? under(way + L, rf) : 0;
				dVector3 q;
				dBodyGetRelPointPos(axle, 0, y, 0, q);
				dBodyGetRelPointVel(axle, 0, y, 0, vel);
				double press = nf / 2 + kf / 2 * (g - (q[2] - p));
				double n = press > 0 ? fmax(0, press - damp * cf / 2 * vel[2]) : 0;
				dBodyAddForceAtPos(axle, 0, 0, n, q[0], q[1], q[2]);
				pin += n;
			}
			if (pin > 0) {
				dVector3 q;
				dBodyGetRelPointPos(body, L - x, 0, p - z, q);
				dBodyGetRelPointVel(body, L - x, 0, p - z, vel);
				double fx = open ? 0 : -SHARE * (kf * (q[0] - L) + damp * cf * vel[0]);
				double fy = -SHARE * (kf * q[1] + damp * cf * vel[1]);
				dBodyAddForceAtPos(body, fx, fy, 0, q[0], q[1], q[2]);
			}
			dWorldStep(world, DT);
			const dReal *R = dBodyGetRotation(body), *spin = dBodyGetAngularVel(body);
			/* the roll of yaw, pitch, roll */
			double roll = atan2(R[9], R[10]);
			if (t < 0) continue;
			least = fmin(least, fmin(load[0], load[1]));
			most = fmax(most, fabs(roll));
			if (stop > 0 && fabs(dJointGetHingeAngle(hinge)) > stop * 0.9999) met = 1;
			double lean = roll + beta;
			if (fabs(lean) > balance && lean * spin[0] > 0) {
				over = 1;
				break;
			}
		}
		printf("%.3f %.6f %d %d\n", least, most, over, met);
		fflush(stdout);
		dWorldDestroy(world);
	}
	dCloseODE();
	return 0;
}
