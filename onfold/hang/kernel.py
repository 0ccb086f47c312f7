"""The sweeps: every point of the cloth in turn is moved to where the forces on it balance, its neighbours held.

Block coordinate descent on the energy of an implicit step, the points taken in their own order on one thread: simple,
and the same to the bit whatever the machine's count of threads. Every block is positive definite.

Units: mm, kg, s; so forces are mN, stiffness mN/mm (N/m), energies µJ.
The bends are the quadratic form of isometric bending (Bergou, Wardetzky, Harmon, Zorin, Grinspun, "A quadratic bending
model for inextensible surfaces", SGP 2006 [M]); the stretch follows warp and weft as two lengths and a shear (Baraff,
Witkin, "Large steps in cloth simulation", SIGGRAPH 1998 [M]). Both are held against closed forms by the tests.
"""

from __future__ import annotations

from math import sqrt

from numba import njit

CAP = 10.0
"""mm a point may move in one sweep."""
CREEP = 0.02
"""mm cloth slides on cloth between two looks before friction is at its full."""
SLACK = 0.05
"""Of its stiffness a thread keeps when it is pushed together: cloth buckles between the points of a net long before it
is shortened (tension-field theory, Wagner 1929 [M]); a net that resists would stand like card. [C]"""


@njit(cache=True)
def sweep(
    x,
    target,
    inertia,
    load,
    tri,
    at,
    of_tri,
    of_corner,
    across,
    along,
    stiff,
    grow_across,
    grow_along,
    bend_at,
    bend_with,
    bend_by,
    bend_own,
    bend_scale,
    push,
    push_normal,
    push_room,
    hold,
    anchor,
    near_at,
    near_which,
    near_share,
    near,
    near_weight,
    near_normal,
    near_room,
    near_stiff,
    near_allowed,
    near_friction,
    tie_at,
    tie_which,
    tie_share,
    tie,
    tie_weight,
    tie_offset,
    tie_stiff,
    centre,
    reach,
    pinned,
):
    """Move every point to where it balances, once. Changes `x` (n, 3) in place.

    The energy of a point is that of its inertia towards `target`, the triangles at it (CSR `at`, `of_tri`,
    `of_corner`), the bends (CSR `bend_*`), the form (`push` N/m, with its plane from `push_normal` and `push_room`),
    friction (`hold` N/m towards `anchor`), cloth near by (`near_*`) and ties. A point stays within `reach` mm of
    `centre`, and goes `near_allowed` mm at most towards what is near by the plane between them, so that little can
    pass through anything between two looks for contacts.
    """
    for i in range(len(x)):
        if pinned[i]:
            continue
        px, py, pz = x[i, 0], x[i, 1], x[i, 2]
        w = inertia[i]
        gx = w * (px - target[i, 0]) - load[i, 0]
        gy = w * (py - target[i, 1]) - load[i, 1]
        gz = w * (pz - target[i, 2]) - load[i, 2]
        bx, by, bz = 0.0, 0.0, 0.0
        for e in range(bend_at[i], bend_at[i + 1]):
            j = bend_with[e]
            q = bend_by[e]
            bx += q * x[j, 0]
            by += q * x[j, 1]
            bz += q * x[j, 2]
        own = bend_own[i]
        gx += bend_scale * (bx + own * px)
        gy += bend_scale * (by + own * py)
        gz += bend_scale * (bz + own * pz)
        w += bend_scale * own
        hxx, hyy, hzz, hxy, hxz, hyz = w, w, w, 0.0, 0.0, 0.0
        for e in range(at[i], at[i + 1]):
            t = of_tri[e]
            c = of_corner[e]
            a, b, d = tri[t, 0], tri[t, 1], tri[t, 2]
            u0, u1, u2 = across[t, 0], across[t, 1], across[t, 2]
            v0, v1, v2 = along[t, 0], along[t, 1], along[t, 2]
            ux = u0 * x[a, 0] + u1 * x[b, 0] + u2 * x[d, 0]
            uy = u0 * x[a, 1] + u1 * x[b, 1] + u2 * x[d, 1]
            uz = u0 * x[a, 2] + u1 * x[b, 2] + u2 * x[d, 2]
            vx = v0 * x[a, 0] + v1 * x[b, 0] + v2 * x[d, 0]
            vy = v0 * x[a, 1] + v1 * x[b, 1] + v2 * x[d, 1]
            vz = v0 * x[a, 2] + v1 * x[b, 2] + v2 * x[d, 2]
            pu, pv = across[t, c], along[t, c]
            lu = sqrt(ux * ux + uy * uy + uz * uz)
            if lu > 1e-9:
                s = 1.0 / lu
                nx, ny, nz = ux * s, uy * s, uz * s
                ku = stiff[t, 0] if lu > 1.0 else SLACK * stiff[t, 0]
                more = grow_across * (lu - 1.0) ** 2 if lu > 1.0 else 0.0
                pull = ku * (lu - 1.0) * (1.0 + more)
                f = pull * pu
                gx += f * nx
                gy += f * ny
                gz += f * nz
                h = ku * (1.0 + 3.0 * more) * pu * pu
                side = pull * s * pu * pu if lu > 1.0 else 0.0
                h -= side
                hxx += h * nx * nx + side
                hyy += h * ny * ny + side
                hzz += h * nz * nz + side
                hxy += h * nx * ny
                hxz += h * nx * nz
                hyz += h * ny * nz
            lv = sqrt(vx * vx + vy * vy + vz * vz)
            if lv > 1e-9:
                s = 1.0 / lv
                nx, ny, nz = vx * s, vy * s, vz * s
                kv = stiff[t, 1] if lv > 1.0 else SLACK * stiff[t, 1]
                more = grow_along * (lv - 1.0) ** 2 if lv > 1.0 else 0.0
                pull = kv * (lv - 1.0) * (1.0 + more)
                f = pull * pv
                gx += f * nx
                gy += f * ny
                gz += f * nz
                h = kv * (1.0 + 3.0 * more) * pv * pv
                side = pull * s * pv * pv if lv > 1.0 else 0.0
                h -= side
                hxx += h * nx * nx + side
                hyy += h * ny * ny + side
                hzz += h * nz * nz + side
                hxy += h * nx * ny
                hxz += h * nx * nz
                hyz += h * ny * nz
            ks = stiff[t, 2]
            dot = ux * vx + uy * vy + uz * vz
            wx = pu * vx + pv * ux
            wy = pu * vy + pv * uy
            wz = pu * vz + pv * uz
            f = ks * dot
            gx += f * wx
            gy += f * wy
            gz += f * wz
            hxx += ks * wx * wx
            hyy += ks * wy * wy
            hzz += ks * wz * wz
            hxy += ks * wx * wy
            hxz += ks * wx * wz
            hyz += ks * wy * wz
        kp = push[i]
        if kp > 0.0:
            nx, ny, nz = push_normal[i, 0], push_normal[i, 1], push_normal[i, 2]
            lack = push_room[i] - (nx * px + ny * py + nz * pz)
            if lack > 0.0:
                gx -= kp * lack * nx
                gy -= kp * lack * ny
                gz -= kp * lack * nz
                hxx += kp * nx * nx
                hyy += kp * ny * ny
                hzz += kp * nz * nz
                hxy += kp * nx * ny
                hxz += kp * nx * nz
                hyz += kp * ny * nz
            kf = hold[i]
            if kf > 0.0:
                ox, oy, oz = px - anchor[i, 0], py - anchor[i, 1], pz - anchor[i, 2]
                on = ox * nx + oy * ny + oz * nz
                gx += kf * (ox - on * nx)
                gy += kf * (oy - on * ny)
                gz += kf * (oz - on * nz)
                hxx += kf * (1.0 - nx * nx)
                hyy += kf * (1.0 - ny * ny)
                hzz += kf * (1.0 - nz * nz)
                hxy -= kf * nx * ny
                hxz -= kf * nx * nz
                hyz -= kf * ny * nz
        for e in range(near_at[i], near_at[i + 1]):
            p = near_which[e]
            c = near_share[e]
            nx, ny, nz = near_normal[p, 0], near_normal[p, 1], near_normal[p, 2]
            gap = c * (nx * px + ny * py + nz * pz)
            ux, uy, uz = c * (px - centre[i, 0]), c * (py - centre[i, 1]), c * (pz - centre[i, 2])
            for m in range(4):
                j = near[p, m]
                if j != i:
                    v = near_weight[p, m]
                    gap += v * (nx * x[j, 0] + ny * x[j, 1] + nz * x[j, 2])
                    ux += v * (x[j, 0] - centre[j, 0])
                    uy += v * (x[j, 1] - centre[j, 1])
                    uz += v * (x[j, 2] - centre[j, 2])
            lack = near_room[p] - gap
            if lack > 0.0:
                kc = near_stiff[p]
                f = kc * lack * c
                gx -= f * nx
                gy -= f * ny
                gz -= f * nz
                # friction against sliding since the last look, no more than its share of what presses
                un = ux * nx + uy * ny + uz * nz
                ux -= un * nx
                uy -= un * ny
                uz -= un * nz
                slid = sqrt(ux * ux + uy * uy + uz * uz)
                kf = near_friction * kc * lack / max(slid, CREEP)
                gx += kf * c * ux
                gy += kf * c * uy
                gz += kf * c * uz
                side = kf * c * c
                h = kc * c * c - side
                hxx += h * nx * nx + side
                hyy += h * ny * ny + side
                hzz += h * nz * nz + side
                hxy += h * nx * ny
                hxz += h * nx * nz
                hyz += h * ny * nz
        for e in range(tie_at[i], tie_at[i + 1]):
            p = tie_which[e]
            c = tie_share[e]
            kt = tie_stiff[p]
            rx, ry, rz = c * px - tie_offset[p, 0], c * py - tie_offset[p, 1], c * pz - tie_offset[p, 2]
            for m in range(4):
                j = tie[p, m]
                if j != i:
                    rx += tie_weight[p, m] * x[j, 0]
                    ry += tie_weight[p, m] * x[j, 1]
                    rz += tie_weight[p, m] * x[j, 2]
            gx += kt * c * rx
            gy += kt * c * ry
            gz += kt * c * rz
            h = kt * c * c
            hxx += h
            hyy += h
            hzz += h
        cxx = hyy * hzz - hyz * hyz
        cxy = hxz * hyz - hxy * hzz
        cxz = hxy * hyz - hxz * hyy
        det = hxx * cxx + hxy * cxy + hxz * cxz
        if not det > 0.0:
            continue
        cyy = hxx * hzz - hxz * hxz
        cyz = hxy * hxz - hxx * hyz
        czz = hxx * hyy - hxy * hxy
        s = -1.0 / det
        dx = s * (cxx * gx + cxy * gy + cxz * gz)
        dy = s * (cxy * gx + cyy * gy + cyz * gz)
        dz = s * (cxz * gx + cyz * gy + czz * gz)
        size = sqrt(dx * dx + dy * dy + dz * dz)
        if not size < 1e300:
            continue
        if size > CAP:
            f = CAP / size
            dx *= f
            dy *= f
            dz *= f
        px += dx
        py += dy
        pz += dz
        x[i, 0], x[i, 1], x[i, 2] = px, py, pz
        _keep(i, x, centre, reach, near_at, near_which, near_share, near_normal, near_allowed)


@njit(cache=True)
def _keep(i, x, centre, reach, near_at, near_which, near_share, near_normal, near_allowed):
    """Bring one point back; a half space holds its centre, so that it goes no farther from it for being moved."""
    ox, oy, oz = x[i, 0] - centre[i, 0], x[i, 1] - centre[i, 1], x[i, 2] - centre[i, 2]
    off = sqrt(ox * ox + oy * oy + oz * oz)
    if off > reach[i]:
        f = reach[i] / off
        ox, oy, oz = ox * f, oy * f, oz * f
    for e in range(near_at[i], near_at[i + 1]):
        p, c = near_which[e], near_share[e]
        nx, ny, nz = near_normal[p, 0], near_normal[p, 1], near_normal[p, 2]
        on = ox * nx + oy * ny + oz * nz
        if c < 0.0:
            nx, ny, nz, on = -nx, -ny, -nz, -on
        # nearer than allowed by as much
        f = -on - near_allowed[p]
        if f > 0.0 and c != 0.0:
            ox, oy, oz = ox + f * nx, oy + f * ny, oz + f * nz
    x[i, 0], x[i, 1], x[i, 2] = centre[i, 0] + ox, centre[i, 1] + oy, centre[i, 2] + oz


@njit(cache=True)
def keep_within(x, centre, reach, near_at, near_which, near_share, near_normal, near_allowed):
    """Bring every point back within `reach` mm of `centre`, and no nearer to what is near than it may come."""
    for i in range(len(x)):
        _keep(i, x, centre, reach, near_at, near_which, near_share, near_normal, near_allowed)


@njit(cache=True)
def probe(x, origin, spacing, values, shell, stiffness, room, normal, push, gap):
    """Ask the form's distance at every point: the plane it must stay above, and how hard it is pushed there.

    Fills `normal` (n, 3), `room` (n,): the least n·x allowed, `push` (n,) N/m, 0 where the form is far, `gap` (n,) mm.
    """
    nx, ny, nz = values.shape
    for i in range(len(x)):
        fx = (x[i, 0] - origin[0]) / spacing
        fy = (x[i, 1] - origin[1]) / spacing
        fz = (x[i, 2] - origin[2]) / spacing
        push[i] = 0.0
        gap[i] = 1e9
        if not (0.0 <= fx < nx - 1.001 and 0.0 <= fy < ny - 1.001 and 0.0 <= fz < nz - 1.001):
            continue
        a, b, c = int(fx), int(fy), int(fz)
        tx, ty, tz = fx - a, fy - b, fz - c
        c00 = values[a, b, c] * (1 - tx) + values[a + 1, b, c] * tx
        c10 = values[a, b + 1, c] * (1 - tx) + values[a + 1, b + 1, c] * tx
        c01 = values[a, b, c + 1] * (1 - tx) + values[a + 1, b, c + 1] * tx
        c11 = values[a, b + 1, c + 1] * (1 - tx) + values[a + 1, b + 1, c + 1] * tx
        e0 = c00 * (1 - ty) + c10 * ty
        e1 = c01 * (1 - ty) + c11 * ty
        d = e0 * (1 - tz) + e1 * tz
        gap[i] = d
        if d > shell + 20.0:
            continue
        gx = (
            (values[a + 1, b, c] - values[a, b, c]) * (1 - ty) + (values[a + 1, b + 1, c] - values[a, b + 1, c]) * ty
        ) * (1 - tz) + (
            (values[a + 1, b, c + 1] - values[a, b, c + 1]) * (1 - ty)
            + (values[a + 1, b + 1, c + 1] - values[a, b + 1, c + 1]) * ty
        ) * tz
        gy = (c10 - c00) * (1 - tz) + (c11 - c01) * tz
        gz = e1 - e0
        size = sqrt(gx * gx + gy * gy + gz * gz)
        if not size > 1e-9:
            continue
        gx /= size
        gy /= size
        gz /= size
        normal[i, 0], normal[i, 1], normal[i, 2] = gx, gy, gz
        room[i] = gx * x[i, 0] + gy * x[i, 1] + gz * x[i, 2] + shell - d
        push[i] = stiffness
