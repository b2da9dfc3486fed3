export function AlertsPage() {
  return <p>Alerts</p>;
}
