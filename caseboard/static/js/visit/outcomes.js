/* Whatever is said of a plan item is in sight: partly, not done. Also when it came back from the phone. */
"use strict";
(() => {
  const form = document.getElementById("visit-form");
  function unfold() {
    for (const chosen of form.querySelectorAll('.outcome details :is([value="partly"], [value="not_done"]):checked')) chosen.closest("details").open = true;
  }
  form?.addEventListener("input", unfold);
  form?.addEventListener("change", unfold);
})();
