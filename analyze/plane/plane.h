/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sun of a record, from where it was measured (or not) to the collector's plane.
 *
 * What lies flat is split into beam and diffuse (Erbs 1982 by the clearness of the moment, or the
 * diffuse channel where it lies flat, too) and transposed (Hay and Davies 1980,
 * physics/clearsky.h). A run is changed once, when it is opened; all that look at it then see the
 * collector's plane.
 */
#ifndef NR_PLANE_PLANE_H
#define NR_PLANE_PLANE_H

#include "logger/base/err.h"
#include "logger/run/folder.h"

/* Where the channel sun says `plane = horizontal` and the rig says where the collector stands and
 * faces: its readings become those in the collector's plane, its gain's u grows by what the two
 * models may be wrong (nr_rig_channel.u_brought, from the geometry of the record), its plane is
 * NR_PLANE_BROUGHT. A diffuse channel that lies flat is brought along. Otherwise nothing changes.
 */
nr_code nr_plane_bring(nr_run *run, nr_err *err);

/* Above this share of the time that can be judged a record under clouds tells nothing by a
 * cloudless sky: inspect calls it a fault. */
#define NR_CLOUDS_MOST 0.4

/* For --clear-sky: a record without a good reading of the sun gets a channel of a cloudless sky's
 * (plane NR_PLANE_MODEL, u NR_CLEAR_SKY_U). Stretches in which something shows that a cloud was
 * there (clouds.h) have no reading, and the channel tells of them. NR_CANNOT where the rig does not
 * say where the collector stands or faces. */
nr_code nr_plane_clear_sky(nr_run *run, nr_err *err);

#endif
