/** A list of named figures. */
export function Facts({ facts }: { facts: readonly (readonly [name: string, value: string])[] }) {
  return (
    <dl class="facts-list">
      {facts.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd class="number">{value}</dd>
        </div>
      ))}
    </dl>
  );
}
