/** All fills, newest first. */
export function FillsPage() {
  return (
    <div class="sheet lists">
      <h1>Fills</h1>
    </div>
  );
}
