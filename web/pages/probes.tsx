export function ProbesPage() {
  return <p>Probes</p>;
}
