/* The hand on the picture: one finger or the mouse places, two fingers or the wheel move and enlarge.
 *
 *   globalThis.hoofPoints.hand(stage, picture, {start, move, end, cancel, moves})
 *
 * A slow finger moves the point more slowly than itself: what a finger covers is six or more pixels of the
 * picture wide. `moves()` says that one finger moves the picture now. */
"use strict";
(() => {
  const SLOWEST = 0.2; /* share of the finger's way; house default */
  const FAST = 0.3; /* screen pixels a millisecond from which the point keeps up; house default */

  function hand(stage, picture, told) {
    const down = new Map();
    let at = null;
    let moving = false;
    let last = null;
    let pinch = null;

    const two = () => {
      const [a, b] = [...down.values()];
      return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, apart: Math.hypot(a.x - b.x, a.y - b.y) || 1 };
    };

    stage.addEventListener("pointerdown", (event) => {
      if (event.button > 1) return;
      stage.setPointerCapture?.(event.pointerId);
      down.set(event.pointerId, { x: event.clientX, y: event.clientY });
      if (down.size === 2) {
        if (at) told.cancel();
        at = null;
        pinch = two();
        return;
      }
      if (down.size > 2) return;
      moving = event.button === 1 || told.moves();
      last = { x: event.clientX, y: event.clientY, time: event.timeStamp };
      if (moving) return;
      at = picture.inside(picture.at(event.clientX, event.clientY));
      told.start(at);
    });

    stage.addEventListener("pointermove", (event) => {
      if (!down.has(event.pointerId)) return;
      down.set(event.pointerId, { x: event.clientX, y: event.clientY });
      if (down.size === 2 && pinch) {
        const now = two();
        picture.panBy(now.x - pinch.x, now.y - pinch.y);
        picture.zoomTo((picture.zoom * now.apart) / pinch.apart, picture.at(now.x, now.y));
        pinch = now;
        return;
      }
      if (!last || down.size > 1) return;
      const [dx, dy] = [event.clientX - last.x, event.clientY - last.y];
      const took = Math.max(event.timeStamp - last.time, 1);
      last = { x: event.clientX, y: event.clientY, time: event.timeStamp };
      if (moving) picture.panBy(dx, dy);
      else if (at) {
        const speed = Math.hypot(dx, dy) / took;
        const share = event.pointerType === "mouse" ? 1 : Math.min(Math.max(speed / FAST, SLOWEST), 1);
        const s = picture.scale();
        at = picture.inside([at[0] + (dx * share) / s, at[1] + (dy * share) / s]);
        told.move(at);
      }
    });

    function up(event, kept) {
      if (!down.delete(event.pointerId)) return;
      if (down.size < 2) pinch = null;
      if (down.size) return;
      const placed = at;
      at = null;
      last = null;
      moving = false;
      if (placed && kept) told.end(placed);
      else if (placed) told.cancel();
    }
    stage.addEventListener("pointerup", (event) => up(event, true));
    stage.addEventListener("pointercancel", (event) => up(event, false));

    stage.addEventListener("wheel", (event) => {
      event.preventDefault();
      const around = picture.at(event.clientX, event.clientY);
      picture.zoomTo(picture.zoom * Math.exp(-event.deltaY / 400), around);
    }, { passive: false });
  }

  (globalThis.hoofPoints ??= {}).hand = hand;
})();
