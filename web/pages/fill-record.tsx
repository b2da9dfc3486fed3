/** One fill: its bottles, and what comes of them. */
export function FillRecordPage({ fillId }: { readonly fillId: string }) {
  return (
    <div class="sheet lists">
      <h1>Fill {fillId}</h1>
    </div>
  );
}
